#pragma once
// From the time stamps of frames to the beat of the screen, and to the frames that came late. Whoever shows
// frames hands the stamps in.
//
// A stimulus of many frames is scheduled by count: every frame is shown, one to a refresh. A frame is due at
// the refresh after the one that showed the frame before. It is late when its stamp lies more than half a
// period after that, that is, nearer to a later refresh; the refreshes that passed without it are dropped
// (the old frame stood there once more). So shown + dropped refreshes have gone by since the first frame.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace isoseam {

// What a stamp is the time of.
enum class StampKind {
    swap,                  // The call that exchanges the buffers returned.
    fence,                 // The graphics card had done all that was asked of it, the exchange included.
    media_stream_counter,  // The screen began to show the frame, by the driver's own count of refreshes.
    paced,                 // As `swap`, but the screen waits for nothing and the program keeps the beat.
};
std::string to_string(StampKind kind);

struct FrameStamp {
    double time_s = 0.0;                         // steady clock
    std::optional<std::int64_t> refresh_number;  // The screen's refresh, where the driver counts them.
};

struct MeasuredBeat {
    double period_s = 0.0;
    // The standard deviation of the stamps about an even beat. It is estimated from the median of their
    // distances, so that late frames do not count.
    double spread_s = 0.0;
    int frames = 0;
};

// The beat by an opening run of frames, each shown as soon as the screen takes it. It follows from the
// refresh numbers where every stamp has one and they rise; else from the times alone, whose median interval
// counts as one period. There is none from fewer than kFewestFrames stamps, or where times do not rise.
inline constexpr int kFewestFrames = 8;
std::optional<MeasuredBeat> measure_beat(const std::vector<FrameStamp>& stamps);

// Whether refresh numbers can be used. Each stamp must have one, and they must rise, but not faster than
// frames were shown.
bool refresh_numbers_work(const std::vector<FrameStamp>& stamps);

// Whether frames wait for the screen. If they do, their beat is `refresh_hz` within kSameRefreshShare, and it
// is even within kEvenShare of a period. `refresh_hz` comes from the system or, if the system does not tell
// it, from the calibration. `why_not` is the reason in plain words, and it is empty when frames are
// synchronised.
struct Synchronisation {
    bool synchronised = false;
    std::string why_not;
};
inline constexpr double kSameRefreshShare = 0.02;  // systems round: 59.94 Hz is told as 60 or 59
inline constexpr double kEvenShare = 0.1;
Synchronisation judge_synchronisation(const MeasuredBeat& beat, double refresh_hz);

struct FrameCounts {
    std::int64_t shown = 0;
    std::int64_t late = 0;
    std::int64_t dropped = 0;
    friend bool operator==(const FrameCounts&, const FrameCounts&) = default;
};

// The refreshes of a screen, numbered from 0, as far as stamps tell them. `kept` is a beat that the program
// itself keeps, and it does not move. `followed` is a beat that the screen gives. Its phase follows the
// stamps slowly, because a measured period is never exact.
class FrameWatch {
  public:
    enum class Beat { followed, kept };

    // The first frame is due at `first_due_s`; without it that frame is on time whenever it comes. The period
    // must be positive and finite (checked).
    explicit FrameWatch(double period_s, Beat beat = Beat::followed,
                        std::optional<double> first_due_s = std::nullopt);

    struct Finding {
        bool late = false;
        std::int64_t dropped = 0;
        double after_due_s = 0.0;  // negative: early
    };
    // Takes one more frame. The frame is judged by its refresh number if it and the frame before it have one,
    // otherwise by its time.
    Finding frame(const FrameStamp& stamp);

    const FrameCounts& counts() const { return counts_; }
    double period_s() const { return period_s_; }
    // When the next frame is due. No value before the first frame if there is no `first_due_s`.
    std::optional<double> next_due_s() const { return next_due_s_; }

  private:
    Finding by_number(const FrameStamp& stamp) const;
    Finding by_time(const FrameStamp& stamp) const;

    double period_s_;
    Beat beat_;
    std::optional<double> next_due_s_;
    std::optional<FrameStamp> last_;
    FrameCounts counts_;
};

// When to show a frame that was due at `due_s`, where the program itself keeps the beat as a screen would. If
// less than half a period has passed since then, it is shown at once, otherwise at the nearest beat.
double paced_show_s(double due_s, double period_s, double now_s);

}  // namespace isoseam
