// Sends answers to the program: the newest of each scene, in one request at a time. They are kept while there is no
// connection.

const kInterval_ms = 200;
const kBusy_ms = 1000;

// Says what becomes of an answer, by the status of the reply.
function outcome(status) {
    if (status === 204) return "sent";
    if (status === 401) return "unknown_person";
    if (status === 409) return "late";
    if (status === 429 || status >= 500) return "busy";
    return "refused";
}

export class Outbox {
    // send(scene, answer): a promise of the reply; changed(scene): its state is another now; unreachable(): no
    // connection, call flush() when there is one; unknown_person(): the program does not know this telephone (any more).
    constructor({send, changed, unreachable, unknown_person}) {
        Object.assign(this, {send, changed, unreachable, unknown_person});
        this.clear();
    }

    clear() {
        clearTimeout(this.timer);
        this.timer = null;
        this.answers = new Map();
        this.busy = false;
        this.held = false;
        this.earliest_ms = 0;
    }

    put(scene, answer) {
        const arrived = this.answers.get(scene)?.arrived ?? null;
        this.answers.set(scene, {answer, arrived, state: "waiting"});
        this.changed(scene);
        this.flush_soon();
    }

    // These are the answers that the program already has.
    remember(scene, answer) {
        if (!this.answers.has(scene)) this.answers.set(scene, {answer, arrived: answer, state: "sent"});
    }

    // Returns the newest answer. Where it was not taken, returns the last one that was, or null.
    answer_of(scene) {
        return this.answers.get(scene)?.answer ?? null;
    }

    // The state is none, waiting, kept (there is no connection), sent, late or refused.
    state_of(scene) {
        const state = this.answers.get(scene)?.state ?? "none";
        return state === "waiting" && this.held ? "kept" : state;
    }

    // Says that there is a connection, or that there is one again.
    flush() {
        this.held = false;
        this.flush_soon();
    }

    hold() {
        this.held = true;
        for (const scene of this.answers.keys()) this.changed(scene);
    }

    flush_soon() {
        if (this.timer !== null || this.busy || this.held) return;
        const wait_ms = Math.max(0, this.earliest_ms - performance.now());
        this.timer = setTimeout(() => {
            this.timer = null;
            this.send_one();
        }, wait_ms);
    }

    async send_one() {
        const next = [...this.answers].find(([, kept]) => kept.state === "waiting");
        if (!next || this.held) return;
        const [scene, kept] = next;
        const answers = this.answers;
        this.busy = true;
        this.earliest_ms = performance.now() + kInterval_ms;
        let result = "unreachable";
        try {
            result = outcome((await this.send(scene, kept.answer)).status);
        } catch {
            // There was no reply at all, so the answer is kept.
        }
        if (answers !== this.answers) return;
        this.busy = false;
        this.settle(scene, kept, result);
    }

    settle(scene, kept, result) {
        if (result === "unreachable") {
            this.hold();
            this.unreachable();
            return;
        }
        if (result === "unknown_person") {
            this.unknown_person();
            return;
        }
        if (result === "busy") {
            this.earliest_ms = performance.now() + kBusy_ms * (1 + Math.random());
        } else {
            this.arrive(scene, kept, result);
        }
        this.changed(scene);
        this.flush_soon();
    }

    // A newer answer may have taken the place of `kept` in the meantime.
    arrive(scene, kept, result) {
        const newest = this.answers.get(scene);
        if (result === "sent") newest.arrived = kept.answer;
        if (newest !== kept) return;
        kept.state = result;
        if (result !== "sent") kept.answer = kept.arrived;
    }
}
