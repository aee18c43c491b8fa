//! Colours on paper.

use crate::frame::Ink;

/// Red, green and blue of `ink` on white paper.
///
/// Fall, thumb and left hand are blue, vermilion and green that readers with any of the usual colour
/// blindnesses tell apart (Okabe and Ito's set), darkened until each stands out 4.5 to 1 (WCAG 2.2, 1.4.3).
pub const fn rgb(ink: Ink) -> [u8; 3] {
    match ink {
        Ink::Text => [0x1a, 0x1a, 0x1a],
        Ink::Staff => [0x80, 0x80, 0x80],
        Ink::Faint => [0x66, 0x66, 0x66],
        Ink::Fall => [0x00, 0x5f, 0x99],
        Ink::Thumb => [0xb3, 0x4a, 0x00],
        Ink::Left => [0x00, 0x73, 0x54],
        Ink::Finding => [0xa3, 0x1d, 0x5c],
        Ink::Paper => [0xff, 0xff, 0xff],
    }
}
