;;; steps.el --- What a player does in Emacs, step by step  -*- lexical-binding: t; -*-

;; Run as: emacs --batch -Q -l steps.el MODE-FOLDER LOPE TUNE
;; Prints one JSON object with what was seen at each step.

(defvar steps-seen nil)
(defun steps-see (name what) (push (cons name what) steps-seen))

(pcase-let ((`(,folder ,lope ,tune) command-line-args-left))
  (setq command-line-args-left nil)
  (setq package-directory-list '("/usr/share/emacs/site-lisp/elpa"))
  (package-initialize)
  (push folder load-path)
  (require 'lope-mode)
  (require 'eglot)
  (setq lope-program lope
        ;; Watches are asked for, and answered, in this wait.
        eglot-sync-connect t
        make-backup-files nil
        create-lockfiles nil)
  (find-file tune))

(defmacro steps-wait (what ready)
  "Wait until READY, which is WHAT is waited for."
  `(let ((end (time-add nil 30)))
     (while (not ,ready)
       (when (time-less-p end nil)
         (error "Waited in vain for %s" ,what))
       (read-event nil nil 0.02))))

(defun steps-found (rule)
  "Where RULE finds something, from the top."
  (let ((of-rule (lambda (finding) (string-search (format "[%s]" rule) (flymake-diagnostic-text finding)))))
    (sort (seq-filter of-rule (flymake-diagnostics))
          (lambda (a b) (< (flymake-diagnostic-beg a) (flymake-diagnostic-beg b))))))

(defun steps-line () (buffer-substring-no-properties (line-beginning-position) (line-end-position)))

(unless (eq major-mode 'lope-mode) (error "The mode is %s" major-mode))
(apply #'eglot (eglot--guess-contact))
(flymake-start)
(steps-wait "a finding" (steps-found "off-strike"))
(let ((finding (car (steps-found "off-strike"))))
  (goto-char (flymake-diagnostic-beg finding))
  (steps-see 'finding `((line . ,(1- (line-number-at-pos)))
                        (message . ,(flymake-diagnostic-text finding))
                        (count . ,(length (steps-found "off-strike")))))
  (steps-see 'colours (progn (font-lock-ensure) (format "%s" (get-text-property (point) 'face))))

  (steps-see 'hover (plist-get (plist-get (jsonrpc-request (eglot--current-server-or-lose) :textDocument/hover
                                                           (eglot--TextDocumentPositionParams))
                                          :contents)
                               :value))

  ;; The mend that is offered first, as at a press of the enter key.
  (cl-letf ((last-nonmenu-event ?\r)
            ((symbol-function 'completing-read)
             (lambda (&rest arguments) (car (ensure-list (nth 6 arguments))))))
    (eglot-code-actions (flymake-diagnostic-beg finding) (flymake-diagnostic-end finding) "quickfix" t))
  (steps-see 'mended (steps-line)))

(eglot--signal-textDocument/didChange)
(steps-wait "the finding to go" (= 1 (length (steps-found "off-strike"))))
(steps-see 'count_mended (length (steps-found "off-strike")))

;; Begin the line anew with the call of a phrase, and ask what may follow.
(delete-region (line-beginning-position) (line-end-position))
(insert "| @")
(steps-see 'completions
           (vconcat (all-completions "" (nth 2 (eglot-completion-at-point)))))
(delete-region (line-beginning-position) (line-end-position))
(insert (cdr (assq 'mended steps-seen)))

;; Crowd the mended line, and have the editor format.
(save-excursion
  (beginning-of-line)
  (while (re-search-forward " +" (line-end-position) t) (replace-match " ")))
(eglot-format-buffer)
(steps-see 'formatted (steps-line))

(save-excursion
  (goto-char (point-min))
  (search-forward "@turn")
  (backward-char)
  (eglot--signal-textDocument/didChange)
  (eglot-rename "landing"))
(steps-see 'renamed
           (vconcat (seq-filter (lambda (line) (string-match-p "turn\\|landing" line))
                                (split-string (buffer-string) "\n"))))

(save-buffer)
(write-region "[rules]\noff-strike = \"off\"\n" nil (expand-file-name "lope.toml"))
(steps-wait "the rule to be off" (null (steps-found "off-strike")))
(steps-see 'count_configured (length (steps-found "off-strike")))

(let ((server (eglot--current-server-or-lose)))
  (kill-buffer)
  (when (jsonrpc-running-p server) (eglot-shutdown server))
  (steps-see 'closed (not (jsonrpc-running-p server))))
(princ (json-encode steps-seen))
