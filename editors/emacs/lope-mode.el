;;; lope-mode.el --- Five-string banjo tab written as text  -*- lexical-binding: t; -*-

;; Version: 0.1.0
;; Package-Requires: ((emacs "28.1") (eglot "1.9"))
;; Keywords: languages, multimedia
;; SPDX-License-Identifier: MIT

;;; Commentary:

;; A major mode for files that end in `.lope'.  With eglot, the `lope' program underlines what makes a tune
;; stumble and mends it: M-x eglot, or (add-hook 'lope-mode-hook #'eglot-ensure).

;;; Code:

(require 'project)
(require 'subr-x)

(declare-function eglot-code-actions "eglot" (beg &optional end action-kind interactive))
(declare-function flymake-diagnostic-text "flymake" (diagnostic))
(defvar eglot-server-programs)

(defgroup lope nil
  "Five-string banjo tab written as text."
  :group 'languages)

(defcustom lope-program "lope"
  "The program that checks tunes: its name, or where it is."
  :type 'string)

(defconst lope--field "^[ \t]*[A-Za-z][A-Za-z0-9_-]*[ \t]*:"
  "The name of a field and its colon.")

(defvar lope-mode-syntax-table
  (let ((table (make-syntax-table)))
    (modify-syntax-entry ?# "<" table)
    (modify-syntax-entry ?\n ">" table)
    ;; Quotes are coloured by the keywords below: one left open ends with its line.
    (modify-syntax-entry ?\" "." table)
    (modify-syntax-entry ?: "_" table)
    (modify-syntax-entry ?- "_" table)
    (modify-syntax-entry ?\{ "(}" table)
    (modify-syntax-entry ?\} "){" table)
    (modify-syntax-entry ?| "." table)
    table)
  "Syntax of tunes.")

(defun lope--hash-is-text-p (place)
  "Whether the hash at PLACE is no comment.
It is a sharp in a field, or stands in words or in a chord."
  (save-excursion
    (goto-char place)
    (let ((before (buffer-substring-no-properties (line-beginning-position) place)))
      (if (string-match-p lope--field before)
          (not (string-match-p "[ \t:]\\'" before))
        (or (string-match-p "\\`[^\"]*\\(\"[^\"]*\"[^\"]*\\)*\"[^\"]*\\'" before)
            (string-match-p "<[^<>|]*\\'" before))))))

(defun lope--propertize (start end)
  "Mark the hashes from START to END that start no comment."
  (goto-char start)
  (while (search-forward "#" end t)
    (if (lope--hash-is-text-p (1- (point)))
        (put-text-property (1- (point)) (point) 'syntax-table (string-to-syntax "."))
      (end-of-line))))

(defconst lope--name "[^] \t\n|{}[\"<>@#%]+"
  "The name of a part or phrase.")

(defvar lope-font-lock-keywords
  `(("^[ \t]*\\(tune\\)[ \t]*:[ \t]*\\(.*\\)"
     (1 font-lock-keyword-face) (2 font-lock-doc-face nil))
    ("^[ \t]*\\([A-Za-z][A-Za-z0-9_-]*\\)[ \t]*:[ \t]*\\(.*\\)"
     (1 font-lock-keyword-face) (2 font-lock-string-face nil))
    (,(concat "^[ \t]*\\(part\\)[ \t]+\\(" lope--name "\\)\\(?:[ \t]+\\(x[0-9]+\\)\\)?")
     (1 font-lock-keyword-face) (2 font-lock-type-face) (3 font-lock-constant-face nil t))
    (,(concat "^[ \t]*\\(phrase\\)[ \t]+\\(" lope--name "\\)")
     (1 font-lock-keyword-face) (2 font-lock-function-name-face))
    ("^[ \t]*\\(ending\\)[ \t]+\\([0-9,]+\\)"
     (1 font-lock-keyword-face) (2 font-lock-constant-face))
    ("\"[^\"\n]*\"" . font-lock-string-face)
    ("<[^<>|\n]*>" . font-lock-type-face)
    (,(concat "@" lope--name) . font-lock-function-name-face)
    ("\\<t\\(?:[0-9]+:[0-9]+\\)?\\_>" . font-lock-variable-name-face)
    ("\\<[hps][0-9]+\\(?::[0-9]+\\)?" . font-lock-builtin-face)
    ("\\<[0-9]+:[0-9]+" . font-lock-constant-face)
    ("%" . font-lock-keyword-face))
  "What is coloured in a tune.")

;;;###autoload
(define-derived-mode lope-mode prog-mode "Lope"
  "A mode for five-string banjo tab written as text."
  (setq-local comment-start "# "
              comment-start-skip "#+[ \t]*"
              font-lock-defaults '(lope-font-lock-keywords)
              syntax-propertize-function #'lope--propertize
              ;; Where a line starts is said by the tidier, not by a key.
              indent-line-function #'ignore
              truncate-lines t))

;;;###autoload
(add-to-list 'auto-mode-alist '("\\.lope\\'" . lope-mode))

;; A book is a project: the folder with a lope.toml.
(defun lope--find-book (folder)
  "The book FOLDER is in."
  (when-let ((root (and (derived-mode-p 'lope-mode) (locate-dominating-file folder "lope.toml"))))
    (cons 'lope root)))

(cl-defmethod project-root ((book (head lope)))
  "The folder of BOOK."
  (cdr book))

(add-hook 'project-find-functions #'lope--find-book)

(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs
               `(lope-mode . ,(lambda (&rest _) (list lope-program "lsp")))))

(defun lope-mend ()
  "Mend all in this file that can be mended with every pitch and every time kept."
  (interactive)
  (eglot-code-actions (point-min) (point-max) "source.fixAll.lope" t))

(defun lope-rule (rule)
  "Show the page of RULE."
  (interactive
   (list (completing-read "Rule: " (lope--rules) nil t nil nil (lope--rule-here))))
  (with-help-window (get-buffer-create "*Lope rule*")
    (princ (lope--ask "rule" rule))))

(defun lope--ask (&rest arguments)
  "What the program says to ARGUMENTS."
  (with-temp-buffer
    (unless (eq 0 (apply #'call-process lope-program nil t nil arguments))
      (user-error "%s" (string-trim (buffer-string))))
    (buffer-string)))

(defun lope--rules ()
  "The names of all rules."
  (let ((list (lope--ask "rule")) (start 0) names)
    (while (string-match "^  \\([a-z-]+\\) " list start)
      (push (match-string 1 list) names)
      (setq start (match-end 0)))
    (nreverse names)))

(defun lope--rule-here ()
  "The rule of a finding at point, if there is one."
  (when-let ((finding (get-char-property (point) 'flymake-diagnostic))
             (text (flymake-diagnostic-text finding)))
    (seq-find (lambda (rule) (string-match-p (concat "\\[" rule "\\]") text)) (lope--rules))))

(provide 'lope-mode)
;;; lope-mode.el ends here
