//! Gestures on the ribbon by mouse, pen and finger, each one undo.

use super::gesture::{Act, Gesture};
use super::layout::System;
use super::navigation::Spot;
use crate::rhythm::Tick;
use crate::session::editor::Editor;
use leptos::ev::PointerEvent;
use leptos::prelude::*;

/// A gesture that goes on, and the row of the sheet it goes on in.
#[derive(Clone, Copy)]
struct Grip {
    gesture: Gesture,
    pointer: i32,
    system: System,
    pulse: Tick,
}

/// The gesture that goes on in one ribbon, if one does.
#[derive(Clone, Copy)]
pub struct Drag {
    editor: Editor,
    grip: StoredValue<Option<Grip>>,
    swallow: StoredValue<bool>,
}

impl Drag {
    /// No gesture yet.
    pub fn new(editor: Editor) -> Drag {
        Drag { editor, grip: StoredValue::new(None), swallow: StoredValue::new(false) }
    }

    /// A press on a place that is drawn in `system`, in a lane with places every `pulse` ticks.
    pub fn press(&self, event: &PointerEvent, spot: Spot, system: System, pulse: Tick) {
        self.swallow.set_value(false);
        if event.button() != 0 || !event.is_primary() {
            return;
        }
        let finger = event.pointer_type() == "touch";
        let stroke = self.editor.loudness(spot.lane, spot.at);
        let gesture = Gesture::press(spot, stroke, finger, event.client_x().into(), event.client_y().into());
        self.grip.set_value(Some(Grip { gesture, pointer: event.pointer_id(), system, pulse }));
    }

    /// The pointer moves over the ribbon, or anywhere once it is held; a button let go outside the window ends the gesture
    /// here.
    pub fn glide(&self, event: &PointerEvent, ribbon: Option<web_sys::Element>) {
        let Some(mut grip) = self.grip.get_value().filter(|grip| grip.pointer == event.pointer_id()) else { return };
        if event.buttons() & 1 == 0 {
            self.release();
            return;
        }
        let Some(ribbon) = ribbon else { return };
        let x = f64::from(event.client_x());
        let under = grip.system.place_under(x - ribbon.get_bounding_client_rect().left(), grip.pulse);
        let counted = grip.gesture.counts();
        let act = grip.gesture.glide(x, event.client_y().into(), under);
        self.grip.set_value(Some(grip));
        if grip.gesture.counts() && !counted {
            // The control under the pointer may go away with its stroke; the ribbon stays.
            let _ = ribbon.set_pointer_capture(grip.pointer);
        }
        let _ = match act {
            Act::Nothing => Ok(()),
            Act::Write(lane, from, to) => self.editor.draw(lane, from, to),
            Act::TakeAway(lane, from, to) => self.editor.take_away(lane, from, to),
            Act::Turn(spot, loudness) => self.editor.turn_loudness(spot.lane, spot.at, loudness),
        };
    }

    /// The gesture ends as one undo, whether the pointer was let go or taken away; what was done stays.
    pub fn release(&self) {
        if self.grip.try_update_value(Option::take).flatten().is_some_and(|grip| grip.gesture.counts()) {
            self.editor.end_gesture();
            self.swallow.set_value(true);
        }
    }

    /// Whether a click belongs to a gesture and is to be ignored. One by keyboard never does.
    pub fn swallows(&self, click: &leptos::ev::MouseEvent) -> bool {
        self.swallow.try_update_value(core::mem::take).unwrap_or(false) && click.detail() > 0
    }
}
