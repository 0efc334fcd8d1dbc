#include "runner/measuring/tone_by_eye.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace isoseam {
namespace {

constexpr int kLargeStep = 10;
constexpr int kPeriod = 4;  // in lines, where a quarter or three quarters of them are lit
// The drives at which the patch begins. They are near enough that the match is found soon, and they are
// nobody's tone curve.
constexpr std::array<double, 3> kStartDrives{0.4, 0.6, 0.8};

bool is_leaving(const InputEvent& event) {
    return event.kind == InputEvent::Kind::window_closed ||
           (event.kind == InputEvent::Kind::key_down && event.name == "Escape");
}

bool is_accepting(const InputEvent& event) {
    return event.kind == InputEvent::Kind::key_down && !event.repeat &&
           (event.name == "Space" || event.name == "Return");
}

InputEvent next_event(VideoSystem& video) {
    constexpr double kPatienceSeconds = 60.0;
    for (;;) {
        if (const std::optional<InputEvent> event = video.next_event(kPatienceSeconds))
            return *event;
    }
}

// Returns false when somebody leaves.
bool show_instruction(VideoSystem& video, Presenter& presenter) {
    Page page;
    page.heading = "Tone curve by eye";
    page.paragraphs = {
        "Three patterns of fine lines follow, each with a plain square in the middle.",
        "Step back, or half close your eyes, until you no longer see the lines. Then make the square as "
        "bright "
        "as what is around it: up and down arrow, with shift in larger steps. Space bar when both look the "
        "same.",
        "Sit straight in front of the screen. Escape leaves without a result."};
    page.foot = "Press the space bar to go on";
    presenter.show(page);
    for (;;) {
        const InputEvent event = next_event(video);
        if (is_leaving(event) || is_accepting(event))
            return is_accepting(event);
    }
}

LinePattern pattern_of(std::size_t level) {
    const int lit = static_cast<int>(std::lround(kLinePatternShares[level] * kPeriod));
    LinePattern pattern;
    // With every other line lit the pattern is finer than with two of four.
    pattern.lit = lit == 2 ? 1 : lit;
    pattern.period = lit == 2 ? 2 : kPeriod;
    return pattern;
}

// Returns the drive that was accepted.
std::optional<double> set_patch(VideoSystem& video, Presenter& presenter, std::size_t level) {
    const int full = (1 << presenter.info().bits) - 1;
    LinePattern pattern = pattern_of(level);
    int code = static_cast<int>(std::lround(kStartDrives[level] * full));
    for (;;) {
        pattern.patch_code = static_cast<std::uint16_t>(code);
        presenter.show(pattern);
        const InputEvent event = next_event(video);
        if (is_leaving(event))
            return std::nullopt;
        if (is_accepting(event))
            return static_cast<double>(code) / full;
        code = stepped_code(code, event, full);
    }
}

}  // namespace

int stepped_code(int code, const InputEvent& event, int full) {
    if (event.kind != InputEvent::Kind::key_down)
        return code;
    const int direction = event.name == "Up" ? 1 : event.name == "Down" ? -1 : 0;
    return std::clamp(code + direction * (event.shift ? kLargeStep : 1), 1, full - 1);
}

std::optional<ToneByEye> tone_by_eye(VideoSystem& video, Presenter& presenter) {
    if (!show_instruction(video, presenter))
        return std::nullopt;
    std::array<double, 3> drives{};
    for (std::size_t level = 0; level < drives.size(); ++level) {
        const std::optional<double> drive = set_patch(video, presenter, level);
        if (!drive)
            return std::nullopt;
        drives[level] = *drive;
    }
    return tone_from_line_patterns(drives);
}

}  // namespace isoseam
