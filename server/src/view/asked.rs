//! What a page asks for.

use std::ops::RangeInclusive;
use std::sync::Arc;

use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use lope_desk::Reading;
use serde::Deserialize;

use super::stand::{File, Stand};

/// Why a page gets no answer: for the player, lower case and without a stop.
pub enum Refusal {
    /// There is no such tune, any more.
    Gone,
    /// The file has changed since the page was told of it; its turn comes.
    Changed,
    /// What is asked for cannot be.
    Unfit(String),
    /// The disk did not do its part.
    Failed(String),
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let (status, message) = match self {
            Self::Gone => (StatusCode::NOT_FOUND, "there is no such tune any more".to_owned()),
            Self::Changed => (StatusCode::CONFLICT, "the file has changed meanwhile".to_owned()),
            Self::Unfit(message) => (StatusCode::UNPROCESSABLE_ENTITY, message),
            Self::Failed(message) => (StatusCode::INTERNAL_SERVER_ERROR, message),
        };
        (status, message).into_response()
    }
}

/// A tune: the name of its file, and its number in there from 0.
#[derive(Clone, Debug, Deserialize, PartialEq, Eq)]
pub struct Which {
    /// The file, as [`Stand::files`] calls it.
    pub file: String,
    /// The tune's place in it.
    pub number: usize,
}

impl Which {
    /// The file and the tune, as they are now.
    pub fn find(&self, stand: &Stand) -> Result<(Arc<File>, Arc<Reading>), Refusal> {
        let (_, file) = stand.file(&self.file).ok_or(Refusal::Gone)?;
        let reading = Arc::clone(file.reading(self.number).ok_or(Refusal::Gone)?);
        Ok((file, reading))
    }

    /// The tune, where its file still is what goes by `stamp`.
    pub fn find_unchanged(&self, stand: &Stand, stamp: &str) -> Result<Arc<Reading>, Refusal> {
        let (file, reading) = self.find(stand)?;
        if file.stamp == stamp { Ok(reading) } else { Err(Refusal::Changed) }
    }
}

/// Places among played bars, written `3-4`.
#[derive(Clone, Debug, Deserialize, PartialEq, Eq)]
#[serde(try_from = "String")]
pub struct Bars(pub RangeInclusive<usize>);

impl TryFrom<String> for Bars {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        let (first, last) = text.split_once('-').ok_or("bars are two numbers such as 3-4")?;
        let number = |text: &str| text.parse().map_err(|_| format!("`{text}` is no number"));
        Ok(Self(number(first)?..=number(last)?))
    }
}
