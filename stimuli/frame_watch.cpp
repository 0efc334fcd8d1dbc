#include "stimuli/frame_watch.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "base/errors.h"
#include "base/medians.h"

namespace isoseam {
namespace {

// A followed beat moves by this share of a frame's distance from it. A period that was measured wrongly by
// 0.1 % then leaves the beat 1 % of a period off, and a stamp that is a quarter of a period off moves it by
// 2.5 %.
constexpr double kFollowing = 0.1;
bool times_rise(const std::vector<FrameStamp>& stamps) {
    return std::adjacent_find(stamps.begin(), stamps.end(), [](const FrameStamp& a, const FrameStamp& b) {
               return !(b.time_s > a.time_s);
           }) == stamps.end();
}

// The number of the refresh that showed each frame. The first one is 0.
std::vector<double> refreshes_by_time(const std::vector<FrameStamp>& stamps) {
    std::vector<double> intervals;
    for (std::size_t i = 1; i < stamps.size(); ++i)
        intervals.push_back(stamps[i].time_s - stamps[i - 1].time_s);
    const double one = median(intervals);
    std::vector<double> numbers{0.0};
    for (const double interval : intervals)
        numbers.push_back(numbers.back() + std::max(1.0, std::round(interval / one)));
    return numbers;
}

std::vector<double> refreshes_by_number(const std::vector<FrameStamp>& stamps) {
    std::vector<double> numbers;
    for (const FrameStamp& stamp : stamps)
        numbers.push_back(static_cast<double>(*stamp.refresh_number - *stamps.front().refresh_number));
    return numbers;
}

// The least-squares fit of time = offset + period * number. Times count from the first stamp.
struct Line {
    double offset_s = 0.0;
    double period_s = 0.0;
};

Line fitted(const std::vector<double>& numbers, const std::vector<double>& times_s) {
    const auto count = static_cast<double>(numbers.size());
    double mean_number = 0.0, mean_time = 0.0;
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        mean_number += numbers[i] / count;
        mean_time += times_s[i] / count;
    }
    double products = 0.0, squares = 0.0;
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        products += (numbers[i] - mean_number) * (times_s[i] - mean_time);
        squares += (numbers[i] - mean_number) * (numbers[i] - mean_number);
    }
    const double period_s = products / squares;
    return {mean_time - period_s * mean_number, period_s};
}

}  // namespace

std::string to_string(StampKind kind) {
    static constexpr std::array<const char*, 4> kWords{"swap", "fence", "media_stream_counter", "paced"};
    return kWords.at(static_cast<std::size_t>(kind));
}

bool refresh_numbers_work(const std::vector<FrameStamp>& stamps) {
    if (stamps.size() < 2)
        return false;
    for (std::size_t i = 0; i < stamps.size(); ++i) {
        if (!stamps[i].refresh_number)
            return false;
        if (i > 0 && !(*stamps[i].refresh_number > *stamps[i - 1].refresh_number))
            return false;
    }
    // A counter that runs on at its own pace says nothing of the frames: most of them follow at the next
    // count.
    const std::int64_t passed = *stamps.back().refresh_number - *stamps.front().refresh_number;
    return passed < 2 * static_cast<std::int64_t>(stamps.size());
}

std::optional<MeasuredBeat> measure_beat(const std::vector<FrameStamp>& stamps) {
    if (static_cast<int>(stamps.size()) < kFewestFrames || !times_rise(stamps))
        return std::nullopt;
    const std::vector<double> numbers =
        refresh_numbers_work(stamps) ? refreshes_by_number(stamps) : refreshes_by_time(stamps);
    std::vector<double> times_s;
    for (const FrameStamp& stamp : stamps)
        times_s.push_back(stamp.time_s - stamps.front().time_s);
    Line line = fitted(numbers, times_s);
    const auto distances = [&] {
        std::vector<double> all;
        for (std::size_t i = 0; i < numbers.size(); ++i)
            all.push_back(std::abs(times_s[i] - line.offset_s - line.period_s * numbers[i]));
        return all;
    };
    // The line is fitted once more without the stamps that are far off, because a program that stalled says
    // nothing about the screen.
    const std::vector<double> first = distances();
    const double limit_s = 4.0 * kSdPerMedianDeviation * median(first);
    std::vector<double> kept_numbers, kept_times_s;
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        if (first[i] <= limit_s) {
            kept_numbers.push_back(numbers[i]);
            kept_times_s.push_back(times_s[i]);
        }
    }
    if (static_cast<int>(kept_numbers.size()) >= kFewestFrames)
        line = fitted(kept_numbers, kept_times_s);
    return MeasuredBeat{line.period_s, kSdPerMedianDeviation * median(distances()),
                        static_cast<int>(stamps.size())};
}

Synchronisation judge_synchronisation(const MeasuredBeat& beat, double refresh_hz) {
    const double measured_hz = 1.0 / beat.period_s;
    if (!(std::abs(measured_hz / refresh_hz - 1.0) <= kSameRefreshShare)) {
        return {false, fmt::format("frames follow at {:.4g} Hz, but the screen refreshes at {:.4g} Hz",
                                   measured_hz, refresh_hz)};
    }
    if (!(beat.spread_s <= kEvenShare * beat.period_s)) {
        return {false, fmt::format(
                           "frames follow unevenly, with a standard deviation of {:.3g} ms about a period of "
                           "{:.4g} ms",
                           1e3 * beat.spread_s, 1e3 * beat.period_s)};
    }
    return {true, ""};
}

FrameWatch::FrameWatch(double period_s, Beat beat, std::optional<double> first_due_s)
    : period_s_(period_s), beat_(beat), next_due_s_(first_due_s) {
    ISOSEAM_CHECK(period_s > 0.0 && std::isfinite(period_s), fmt::format("a period of {} s", period_s));
}

FrameWatch::Finding FrameWatch::by_number(const FrameStamp& stamp) const {
    const std::int64_t passed = *stamp.refresh_number - *last_->refresh_number;
    Finding finding;
    finding.after_due_s = stamp.time_s - *next_due_s_;
    finding.dropped = std::max<std::int64_t>(0, passed - 1);
    finding.late = finding.dropped > 0;
    return finding;
}

FrameWatch::Finding FrameWatch::by_time(const FrameStamp& stamp) const {
    Finding finding;
    finding.after_due_s = stamp.time_s - *next_due_s_;
    finding.late = finding.after_due_s > period_s_ / 2.0;
    if (finding.late)
        finding.dropped = std::max<std::int64_t>(1, std::llround(finding.after_due_s / period_s_));
    return finding;
}

FrameWatch::Finding FrameWatch::frame(const FrameStamp& stamp) {
    Finding finding;
    if (next_due_s_) {
        const bool numbered = last_ && last_->refresh_number && stamp.refresh_number;
        finding = numbered ? by_number(stamp) : by_time(stamp);
    } else {
        next_due_s_ = stamp.time_s;
    }
    ++counts_.shown;
    counts_.late += finding.late ? 1 : 0;
    counts_.dropped += finding.dropped;
    // The refresh that showed this frame, and the next one.
    double shown_s = *next_due_s_ + static_cast<double>(finding.dropped) * period_s_;
    if (beat_ == Beat::followed) {
        const double off_s = stamp.time_s - shown_s;
        // A stamp far before its refresh shows that an earlier one was noted late: the beat is there.
        shown_s += std::abs(off_s) > period_s_ / 2.0 ? off_s : kFollowing * off_s;
    }
    next_due_s_ = shown_s + period_s_;
    last_ = stamp;
    return finding;
}

double paced_show_s(double due_s, double period_s, double now_s) {
    const double after_s = now_s - due_s;
    if (after_s <= period_s / 2.0)
        return std::max(due_s, now_s);
    return std::max(now_s, due_s + std::round(after_s / period_s) * period_s);
}

}  // namespace isoseam
