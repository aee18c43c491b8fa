//! Questions about open files, each answered on a thread for reading when its turn comes.

use std::sync::Arc;

use serde::Serialize;
use tokio::task::spawn_blocking;
use tower_lsp::jsonrpc::{Error, Result};
use tower_lsp::lsp_types::Url;

use super::Session;
use crate::lsp::index::{Report, result_of};
use crate::lsp::open_file::OpenFile;
use crate::lsp::snapshot::View;
use crate::lsp::written::Written;

impl Session {
    /// What `answer` says of the file at `url` as it is when its turn comes; nothing for a file that is not
    /// open. The answer is made on a thread for reading, and not at all once nobody waits for it.
    ///
    /// # Errors
    /// When the answer panics.
    pub async fn ask<T: Send + 'static>(
        self: &Arc<Self>,
        url: &Url,
        answer: impl FnOnce(View<'_>) -> Option<T> + Send + 'static,
    ) -> Result<Option<T>> {
        let Some(file) = self.file(url) else { return Ok(None) };
        let session = Arc::clone(self);
        let waiting = Arc::new(());
        let asked = Arc::downgrade(&waiting);
        let _turn = self.turns.acquire().await;
        let job = spawn_blocking(move || {
            session.out.wait_for_room();
            asked.upgrade()?;
            file.with_view(&session, answer)?
        });
        let answer = job.await.map_err(|_| Error::internal_error());
        drop(waiting);
        answer
    }

    /// Answers the request that is being handled with what `answer` says, like [`Session::ask`]; it is written on
    /// the thread for reading. What is returned is no more than the service must have.
    ///
    /// # Errors
    /// When the answer panics.
    pub async fn answer<T: Serialize + Send + 'static>(
        self: &Arc<Self>,
        url: &Url,
        answer: impl FnOnce(View<'_>) -> Option<T> + Send + 'static,
    ) -> Result<Option<T>> {
        if let Some(written) = self.ask(url, |view| Written::new(&answer(view)?)).await? {
            written.answer();
        }
        Ok(None)
    }

    /// `item` with what was left out when it was first sent. `file` says in which file that is found; an item
    /// that is not ours, or whose file is no longer open, stays as it is.
    ///
    /// # Errors
    /// When the answer panics.
    pub async fn complete<T: Clone + Send + 'static>(
        self: &Arc<Self>,
        item: T,
        file: fn(&T) -> Option<Url>,
        complete: fn(View<'_>, T) -> T,
    ) -> Result<T> {
        let Some(url) = file(&item) else { return Ok(item) };
        let given = item.clone();
        let completed = self.ask(&url, move |view| Some(complete(view, item))).await?;
        Ok(completed.unwrap_or(given))
    }

    /// What `answer` says of every open file, in the order of their names.
    ///
    /// # Errors
    /// When the answer panics.
    pub async fn ask_all<T: Send + 'static>(
        self: &Arc<Self>,
        answer: impl Fn(View<'_>) -> T + Send + 'static,
    ) -> Result<Vec<T>> {
        let mut files: Vec<(Url, Arc<OpenFile>)> =
            self.files().iter().map(|(url, file)| (url.clone(), Arc::clone(file))).collect();
        files.sort_by(|(one, _), (other, _)| one.cmp(other));
        let session = Arc::clone(self);
        let waiting = Arc::new(());
        let asked = Arc::downgrade(&waiting);
        let _turn = self.turns.acquire().await;
        let job = spawn_blocking(move || {
            session.out.wait_for_room();
            let wanted = files.iter().take_while(|_| asked.strong_count() > 0);
            wanted.filter_map(|(_, file)| file.with_view(&session, &answer)).collect()
        });
        let answers = job.await.map_err(|_| Error::internal_error());
        drop(waiting);
        answers
    }

    /// All that is found in the file at `url`, open or in an open folder.
    ///
    /// # Errors
    /// When that cannot be told by a mistake of ours.
    pub async fn diagnostics(self: &Arc<Self>, url: &Url) -> Result<Option<Report>> {
        let Some(file) = self.file(url) else { return Ok(self.index.report(self, url)) };
        let (session, url) = (Arc::clone(self), url.clone());
        let _turn = self.turns.acquire().await;
        let job = spawn_blocking(move || {
            session.out.wait_for_room();
            let diagnostics = file.diagnostics(&session)?;
            session.settle();
            Some(Report { result: result_of(&diagnostics), key: session.books.key(&url), url, diagnostics })
        });
        job.await.map_err(|_| Error::internal_error())
    }
}
