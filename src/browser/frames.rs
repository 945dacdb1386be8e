//! A call before every frame the browser draws, as long as the handle lives.

use super::window;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

type Call = Closure<dyn FnMut(f64)>;

/// A running loop of animation frames; dropping it ends the loop.
pub struct FrameLoop {
    next: Rc<Cell<Option<i32>>>,
    _call: Rc<RefCell<Option<Call>>>,
}

impl FrameLoop {
    /// Calls `draw` before every frame. `draw` must not drop the loop it is called by.
    #[must_use = "the loop ends when this is dropped"]
    pub fn new(mut draw: impl FnMut() + 'static) -> FrameLoop {
        let next = Rc::new(Cell::new(None));
        let call: Rc<RefCell<Option<Call>>> = Rc::default();
        let (ask, again) = (next.clone(), Rc::downgrade(&call));
        *call.borrow_mut() = Some(Closure::new(move |_| {
            draw();
            let call = again.upgrade();
            ask.set(call.and_then(|call| call.borrow().as_ref().and_then(request)));
        }));
        next.set(call.borrow().as_ref().and_then(request));
        FrameLoop { next, _call: call }
    }
}

fn request(call: &Call) -> Option<i32> {
    window()?.request_animation_frame(call.as_ref().unchecked_ref()).ok()
}

impl Drop for FrameLoop {
    fn drop(&mut self) {
        if let (Some(next), Some(window)) = (self.next.get(), window()) {
            let _ = window.cancel_animation_frame(next);
        }
    }
}
