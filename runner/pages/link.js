// Holds the stream of events from the program, and opens it again whenever it breaks.

const kDelays_ms = [500, 1000, 2000, 4000, 8000, 15000];
// A stream that is back sooner than this was never missed.
const kPatience_ms = 1000;

export class Link {
    // look():       before each opening; false: there is nothing to open any more, an exception: no connection
    // address():    of the stream
    // arrived(x):   the data of an event
    // lost():       there is no connection; said once until it is back
    // back():       after lost(): the stream is open again, or there is nothing to open any more
    // over():       look() gave false
    constructor({look, address, arrived, lost, back, over = () => {}}) {
        Object.assign(this, {look, address, arrived, lost, back, over});
        this.wanted = false;
        this.turn = 0;
        this.attempts = 0;
        this.said_lost = false;
        this.about_to_say = null;
        addEventListener("online", () => this.try_now());
        addEventListener("offline", () => this.broken(0));
        document.addEventListener("visibilitychange", () => {
            if (document.visibilityState === "visible") this.try_now();
        });
    }

    async open() {
        this.drop();
        this.wanted = true;
        const turn = this.turn;
        let there = false;
        try {
            there = await this.look();
        } catch {
            if (turn === this.turn) this.broken(kPatience_ms);
            return;
        }
        if (turn !== this.turn) return;
        if (!there) {
            this.stop();
            this.over();
            return;
        }
        const source = (this.source = new EventSource(this.address()));
        source.onopen = () => this.recovered();
        source.onmessage = (event) => this.arrived(JSON.parse(event.data));
        source.onerror = () => {
            if (source === this.source) this.broken(kPatience_ms);
        };
    }

    // The stream ends for good, or until open().
    stop() {
        this.drop();
        this.recovered();
    }

    drop() {
        this.wanted = false;
        ++this.turn;
        clearTimeout(this.retry);
        this.source?.close();
        this.source = null;
    }

    // The stream, or a request beside it, has failed.
    broken(patience_ms) {
        if (!this.wanted) return;
        this.drop();
        this.wanted = true;
        if (!this.said_lost && !this.about_to_say) {
            this.about_to_say = setTimeout(() => this.say_lost(), patience_ms);
        } else if (!this.said_lost && patience_ms === 0) {
            this.say_lost();
        }
        const delay_ms = kDelays_ms[Math.min(this.attempts++, kDelays_ms.length - 1)];
        // The moments are spread, or a whole class would come back in one of them.
        this.retry = setTimeout(() => this.open(), delay_ms * (0.75 + Math.random() / 2));
    }

    say_lost() {
        clearTimeout(this.about_to_say);
        this.about_to_say = null;
        this.said_lost = true;
        this.lost();
    }

    recovered() {
        this.attempts = 0;
        clearTimeout(this.about_to_say);
        this.about_to_say = null;
        if (!this.said_lost) return;
        this.said_lost = false;
        this.back();
    }

    // A telephone that slept may hold a stream that is dead without knowing it.
    try_now() {
        if (this.wanted) this.open();
    }
}
