//! The panel of the metre: the metre itself, and the bars.

use super::choice::{Choice, Options};
use super::stroke::refused;
use crate::rhythm::pattern::MAX_BARS;
use crate::rhythm::{Edit, Groove, Metre, bars};
use crate::session::editor::Editor;
use crate::words::{cards, faults};
use leptos::ev;
use leptos::prelude::*;

/// The metre from a list or as it is written, and the bars added, removed, repeated, copied.
#[component]
pub fn MetrePanel(editor: Editor) -> impl IntoView {
    let metre = Memo::new(move |_| editor.groove().with(|groove| groove.pattern.metre().to_string()));
    let count = Memo::new(move |_| editor.groove().with(|groove| groove.pattern.bars()));
    let fault = RwSignal::new(None::<String>);
    let change = move |edit: &dyn Fn(&Groove) -> Edit| {
        fault.set(editor.change(|groove| edit(groove)).err().map(faults::edit));
    };
    let set_metre = move |text: String| match Metre::parse(&text) {
        Ok(metre) => change(&|_| Edit::SetMetre(metre.clone())),
        Err(error) => fault.set(Some(faults::metre(error))),
    };
    let metres = Signal::derive(move || {
        let now = metre.get();
        let more = (!cards::METRES.contains(&now.as_str())).then_some(now);
        let all = cards::METRES.into_iter().map(str::to_owned).chain(more);
        all.map(|text| (text.clone(), text)).collect::<Options>()
    });
    let typed = move |field: web_sys::HtmlInputElement| {
        let text = field.value();
        if text != metre.get_untracked() {
            set_metre(text);
        }
        field.set_value(&metre.get_untracked());
    };
    let enter = move |event: ev::KeyboardEvent| {
        if event.key() == "Enter" {
            typed(event_target(&event));
        }
    };
    let all_bars =
        Signal::derive(move || (0..count.get()).map(|bar| (bar.to_string(), cards::bar(bar))).collect::<Options>());
    let (from, to, gone) = (RwSignal::new(0_u8), RwSignal::new(1_u8), RwSignal::new(u8::MAX));
    // A bar chosen earlier may be gone.
    let within =
        move |bar: RwSignal<u8>| Signal::derive(move || bar.get().min(count.get().saturating_sub(1)).to_string());
    let pick = move |bar: RwSignal<u8>| Callback::new(move |text: String| bar.set(text.parse().unwrap_or_default()));
    let full = move |most: u8| move || (count.get() > most).then_some("true");
    let single = move || (count.get() < 2).then_some("true");
    view! {
        <Choice name=crate::words::ui::controls::METRE options=metres now=metre.into() choose=Callback::new(set_metre) />
        <label class="typed">
            <span>{cards::METRE_TYPED}</span>
            <input
                type="text" autocomplete="off" spellcheck="false" size="9"
                value=move || metre.get()
                prop:value=move || metre.get()
                on:change=move |event| typed(event_target(&event))
                on:keydown=enter
            />
        </label>
        <span class="group" role="group" aria-label=cards::BARS>
            <button type="button" class="act" aria-disabled=full(MAX_BARS - 1) on:click=move |_| change(&|groove| bars::insert_bar(&groove.pattern, groove.pattern.bars()))>{cards::ADD_BAR}</button>
            <button type="button" class="act" aria-disabled=full(MAX_BARS / 2) on:click=move |_| change(&|groove| bars::repeat(&groove.pattern))>{cards::REPEAT}</button>
        </span>
        <span class="group">
            <Choice name=cards::COPY_FROM options=all_bars now=within(from) choose=pick(from) />
            <Choice name=cards::COPY_TO options=all_bars now=within(to) choose=pick(to) />
            <button type="button" class="act" aria-disabled=single on:click=move |_| change(&|groove| bars::copy_bar(&groove.pattern, from.get_untracked(), to.get_untracked()))>{cards::COPY}</button>
        </span>
        <span class="group">
            <Choice name=cards::REMOVE_BAR options=all_bars now=within(gone) choose=pick(gone) />
            <button type="button" class="act" aria-disabled=single on:click=move |_| change(&|groove| bars::remove_bar(&groove.pattern, gone.get_untracked()))>{cards::REMOVE}</button>
        </span>
        {refused(fault)}
    }
    .into_any()
}
