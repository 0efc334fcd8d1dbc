// Asks for the room code, before a telephone takes part.
import {element, set_text} from "./elements.js";

const kProblems = {403: "phone_wrong_code", 409: "phone_door_closed", 429: "phone_busy", 503: "phone_room_full"};
// After 429 the page tries again by itself. The moments are spread, or a whole class would come back in one of them.
const kJoinAgainFrom_ms = 1500;
const kJoinAgainSpan_ms = 1500;

// A code is said and typed in many ways. The code itself has capital letters and digits only.
export function room_code(typed) {
    return typed.toUpperCase().replace(/[^A-Z0-9]/g, "");
}

// `join(code)` is a promise of the reply's status, and `joined()` is called after 200. `gone` says that the room that the
// telephone was in is no longer there.
export function join_view({words, code, gone, join, joined}) {
    const heading = element("h1", {tabindex: -1, text: words(gone ? "phone_gone_heading" : "phone_join_heading")});
    const problem = element("p", {id: "problem", role: "alert"});
    const input = element("input", {
        id: "code", type: "text", autocomplete: "off", autocapitalize: "characters", spellcheck: "false", maxlength: 12,
        enterkeyhint: "go", "aria-describedby": "code_hint problem"});
    input.value = code;
    const button = element("button", {type: "submit", class_name: "main", text: words("phone_join")});

    function complain(id) {
        set_text(problem, words(id));
        input.setAttribute("aria-invalid", "true");
        input.focus();
    }

    let busy = false;
    let again = null;
    async function submit(event) {
        event?.preventDefault();
        clearTimeout(again);
        if (busy) return;
        set_text(problem, "");
        input.removeAttribute("aria-invalid");
        if (room_code(input.value) === "") {
            complain("phone_code_missing");
            return;
        }
        busy = true;
        try {
            const status = await join(room_code(input.value));
            if (status === 200) joined();
            else complain(kProblems[status] ?? "phone_wrong_code");
            if (status === 429) again = setTimeout(try_again, kJoinAgainFrom_ms + Math.random() * kJoinAgainSpan_ms);
        } catch {
            complain("phone_lost");
        } finally {
            busy = false;
        }
    }

    function try_again() {
        if (form.isConnected) submit();
    }

    const form = element("form", {novalidate: true, on_submit: submit},
        element("label", {for: "code", text: words("phone_code")}),
        element("p", {id: "code_hint", class_name: "hint", text: words("phone_code_hint")}),
        input, problem, button);
    const foot = gone ? [] : [element("p", {class_name: "hint", text: words("phone_no_name")}), element("p", {class_name: "hint", text: words("phone_no_test")})];
    return {parts: [heading, gone ? element("p", {text: words("phone_gone_text")}) : null, form, ...foot].filter(Boolean), heading};
}
