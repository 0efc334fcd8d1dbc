#include "runner/desk/desk_station.h"

#include <algorithm>

namespace isoseam {
namespace {

const std::string kExperimenter = "experimenter";
// The desk is looked at this often during a wait.
constexpr double kLookSeconds = 0.1;
// During a presentation the desk is looked at after so many frames: every 0.1 s at 60 Hz, so that an end
// which is asked for there takes flicker away at once.
constexpr std::int64_t kFramesBetweenLooks = 6;

}  // namespace

void DeskStation::write_notes() {
    std::size_t written = 0;
    try {
        for (const std::string& note : desk_.notes_to_write()) {
            write_note_(note);
            ++written;
        }
    } catch (const MachineError&) {
        // The note stays at the desk as not yet written. The session's own events tell why.
    }
    if (written > 0)
        desk_.notes_written(written);
}

// The desk's end is asked for again and again, because the first escape pauses and the second one leaves.
std::optional<Action> DeskStation::asked() {
    if (desk_.end_asked())
        return Action(Escaped{});
    if (!desk_.paused()) {
        pause_told_ = false;
        return std::nullopt;
    }
    if (pause_told_)
        return std::nullopt;
    pause_told_ = true;
    return Interrupted{.reason = kExperimenter, .asked = true};
}

Action DeskStation::wait(double timeout_s) {
    const double until_s = now_s() + timeout_s;
    for (;;) {
        write_notes();
        if (const std::optional<Action> action = asked())
            return *action;
        const double left_s = std::max(0.0, until_s - now_s());
        const Action action = station_.wait(std::min(left_s, kLookSeconds));
        if (!std::holds_alternative<NoAction>(action) || left_s <= kLookSeconds)
            return action;
    }
}

Action DeskStation::show_presentation(const Presentation& presentation, PresentationProgress& progress) {
    for (;;) {
        write_notes();
        if (const std::optional<Action> action = asked())
            return *action;
        Presentation part = presentation;
        const std::int64_t end = progress.next_frame + kFramesBetweenLooks;
        part.end_frame = std::min(end, presentation.end_frame.value_or(end));
        const Action action = station_.show_presentation(part, progress);
        const bool only_the_part = std::holds_alternative<PresentationEnded>(action) &&
                                   progress.next_frame == *part.end_frame &&
                                   part.end_frame != presentation.end_frame;
        if (!only_the_part)
            return action;
    }
}

std::optional<std::string> DeskStation::interruption() {
    std::optional<std::string> why = station_.interruption();
    if (!why && desk_.paused() && !desk_.end_asked())
        why = kExperimenter;
    return why;
}

}  // namespace isoseam
