//! Dragging a fin up or down by mouse or pen: louder or softer. A click that did not move is no drag.

use super::navigation::Spot;
use crate::rhythm::Loudness;
use crate::session::editor::Editor;
use leptos::ev::PointerEvent;
use leptos::prelude::*;

/// How far the pointer moves before a press becomes a drag, in pixels.
const SLACK: f64 = 5.0;
/// Loudness a pixel.
const PER_PIXEL: f64 = 1.4;

#[derive(Clone, Copy)]
struct Grip {
    spot: Spot,
    y: f64,
    loudness: u8,
    moved: bool,
}

/// The drag that goes on in one ribbon, if one does.
#[derive(Clone, Copy)]
pub struct Drag {
    editor: Editor,
    grip: StoredValue<Option<Grip>>,
    swallow: StoredValue<bool>,
}

impl Drag {
    /// No drag yet.
    pub fn new(editor: Editor) -> Drag {
        Drag { editor, grip: StoredValue::new(None), swallow: StoredValue::new(false) }
    }

    /// A press on a place: grips the stroke that is there. Fingers scroll the page instead.
    pub fn press(&self, event: &PointerEvent, spot: Spot) {
        self.swallow.set_value(false);
        if event.button() != 0 || event.pointer_type() == "touch" {
            return;
        }
        let stroke = self.editor.loudness(spot.lane, spot.at);
        self.grip.set_value(stroke.map(|loudness| Grip {
            spot,
            y: event.client_y().into(),
            loudness: loudness.get(),
            moved: false,
        }));
    }

    /// The pointer moves; a button let go outside the window ends the drag here.
    pub fn glide(&self, event: &PointerEvent) {
        let Some(mut grip) = self.grip.get_value() else { return };
        if event.buttons() & 1 == 0 {
            self.release();
            return;
        }
        let up = grip.y - f64::from(event.client_y());
        if !grip.moved && up.abs() < SLACK {
            return;
        }
        grip.moved = true;
        self.grip.set_value(Some(grip));
        let loudness = Loudness::clamped((f64::from(grip.loudness) + up * PER_PIXEL).round() as i32);
        let _ = self.editor.turn_loudness(grip.spot.lane, grip.spot.at, loudness);
    }

    /// The drag ends as one undo, whether the pointer was let go or taken away.
    pub fn release(&self) {
        if self.grip.try_update_value(Option::take).flatten().is_some_and(|grip| grip.moved) {
            self.editor.end_gesture();
            self.swallow.set_value(true);
        }
    }

    /// Whether the click that follows belongs to a drag and is to be ignored.
    pub fn swallows_click(&self) -> bool {
        self.swallow.try_update_value(core::mem::take).unwrap_or(false)
    }
}
