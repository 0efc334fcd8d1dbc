// A session as its desk sees it, with invented settings.
const kShown = 40;

export class MockSession {
    constructor() {
        this.state = "trial";
        this.paused_from = null;
        this.settings = [];
        this.notes = [];
        this.warnings = [];
        this.ended = false;
    }

    add_settings(count) {
        for (let i = 0; i < count; ++i) {
            const trial = this.settings.length + 1;
            const wave = (salt) => Math.sin(trial * 12.9898 + salt * 78.233);
            const contrast_percent = [0.6 * wave(1) + 0.2, 0.5 * wave(2) - 0.1, 1.6 * wave(3) + 0.8];
            this.settings.push({
                trial, condition: trial % 2 ? "dim_surround" : "bright_surround", contrast_percent,
                distance_percent: Math.hypot(...contrast_percent), duration_s: 14 + 6 * wave(4), refused_steps: trial % 7 === 0 ? 2 : 0,
            });
        }
    }

    desk_state() {
        return {
            desk: "session", participant: "P01", title: "Matching across two screens", state: this.state, done: this.settings.length, planned: 60,
            elapsed_s: 95 + 58 * this.settings.length, left_s: 58 * (60 - this.settings.length), condition: "dim_surround",
            settings: this.settings.slice(-kShown), answers: {count: 0, right: 0}, warnings: this.warnings, late_frames: 0,
            calibrations: [{name: "left_screen", days_left: 12, demo: false}, {name: "right_screen", days_left: 0, demo: true}],
            notes: this.notes.length, ended: this.ended,
        };
    }

    command({do: what, text}) {
        if (this.ended) return false;
        if (what === "pause" && this.state !== "paused") {
            this.paused_from = this.state;
            this.state = "paused";
        } else if (what === "go_on" && this.state === "paused") {
            this.state = this.paused_from;
        } else if (what === "note" && typeof text === "string" && text !== "" && text.length <= 500) {
            this.notes.push(text);
        } else if (what === "end") {
            this.state = "ended";
            this.ended = true;
        } else {
            return false;
        }
        return true;
    }
}
