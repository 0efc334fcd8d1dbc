// The desk tells what the program is doing, and what may be asked of it. The program says which desk it is.
import {set_text} from "./elements.js";
import {lecture_desk} from "./lecture_desk.js";
import {Link} from "./link.js";
import {session_desk} from "./session_desk.js";

const kDesks = {lecture: lecture_desk, session: session_desk};

// The address is /desk/SECRET.
const base = location.pathname.replace(/\/+$/, "");
const banner = document.getElementById("banner");
const problem = document.getElementById("problem");
let desk = null;
let newest = null;

// The result is true when the program has taken the command.
async function command(what) {
    try {
        const reply = await fetch(`${base}/command`, {
            method: "POST", headers: {"Content-Type": "application/json"}, body: JSON.stringify(what)});
        set_text(problem, reply.ok ? "" : "The program could not do that. Look at its window for the reason.");
        return reply.ok;
    } catch {
        set_text(problem, "There is no connection, so nothing was done. Try again when it is back.");
        link.broken(0);
        return false;
    }
}

function show() {
    const state = newest;
    newest = null;
    if (desk === null) {
        desk = kDesks[state.desk](command);
        document.getElementById("desk").replaceChildren(...desk.parts);
    }
    document.title = `Desk: ${state.title} – Isoseam`;
    desk.show(state);
}

// A class that answers brings many states a second. No more of them are shown than the screen has frames.
function arrived(state) {
    if (newest === null) requestAnimationFrame(show);
    newest = state;
    if (state.ended) link.stop();
}

const link = new Link({
    // A stream that fails does not say why.
    look: async () => (await fetch(base, {method: "HEAD", cache: "no-store"})).status !== 404,
    over: () => set_text(problem, "This desk is closed: its program has ended or was begun anew. Open the address that it shows now."),
    address: () => `${base}/events`,
    arrived,
    lost: () => set_text(banner, "No connection to the program. What is below may be old. Trying again …"),
    back: () => {
        set_text(banner, "");
        set_text(problem, "");
    },
});

link.open();
