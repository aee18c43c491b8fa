//! The page's own files, which are part of the program.

use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Response};
use lope_sheet::font;
use lope_sheet::frame::Face;

/// The page.
pub const fn index() -> Html<&'static str> {
    Html(include_str!("page/index.html"))
}

macro_rules! files {
    ($($name:literal)*) => {
        &[$(($name, include_str!(concat!("page/", $name)))),*]
    };
}

/// What the page loads.
const FILES: &[(&str, &str)] = files! {
    "page.css" "sheet.css" "player.css"
    "main.js" "lope.js" "elements.js" "book.js" "sheet.js" "bars.js" "findings.js" "player.js" "sound.js" "light.js"
    "controls.js" "keys.js" "notice.js" "print.js" "remembered.js"
};

/// The faces of the sheet, in which the page is set as well.
const FACES: &[(&str, Face)] =
    &[("regular.ttf", Face::Regular), ("bold.ttf", Face::Bold), ("italic.ttf", Face::Italic)];

/// One of those.
pub async fn file(Path(name): Path<String>) -> Response {
    if let Some((_, face)) = FACES.iter().find(|(file, _)| *file == name) {
        return ([(header::CONTENT_TYPE, "font/ttf")], font::bytes(*face)).into_response();
    }
    let kind = match name.rsplit_once('.') {
        Some((_, "css")) => "text/css; charset=utf-8",
        _ => "text/javascript; charset=utf-8",
    };
    match FILES.iter().find(|(file, _)| *file == name) {
        Some((_, text)) => ([(header::CONTENT_TYPE, kind)], *text).into_response(),
        None => (StatusCode::NOT_FOUND, "there is nothing here\n").into_response(),
    }
}
