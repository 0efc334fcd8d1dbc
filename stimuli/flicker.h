#pragma once
// Exchange of two lights, or of the two halves, frame by frame. The light of frame k follows from k alone, so
// that what was shown can be replayed.
//
//     Flicker flicker;
//     flicker.rate = rate_of(FlickerForm::square, 15.0, 60.0);
//     const FrameWeights weights = flicker_frame(flicker, frame);
//
// A screen shows whole frames only, so a period is a whole number of them and no other frequency is exact:
//   square   Light A stands for n frames and light B for n frames: refresh / 2n. Halves of unequal length are
//            not offered, since their mean would not be the mean of both lights.
//   sine     A period has n >= 4 frames: refresh / n. Two frames a period would be a square or, by their
//            phase, nothing. Held frames add components at n - 1 and n + 1 times the frequency and beyond.
//            With three frames the first of these lies at twice the frequency and is half as strong, which
//            is no sine any more; from four on it lies at three times the frequency or beyond, with at most
//            a third of the amplitude.

#include <array>
#include <cstdint>
#include <optional>

#include "stimuli/field.h"

namespace isoseam {

enum class FlickerForm { square, sine };

// What changes places.
enum class Exchange {
    lights,  // both halves show light A, then light B
    halves,  // one half shows A while the other shows B
};

inline constexpr int kFewestSineFrames = 4;

struct FlickerRate {
    FlickerForm form = FlickerForm::square;
    int frames_per_period = 2;  // square: even, at least 2; sine: at least kFewestSineFrames

    double frequency_hz(double refresh_hz) const { return refresh_hz / frames_per_period; }
};

// What a screen can do nearest to a wish. Both are the same where the wish itself can be shown.
struct NearestRates {
    std::optional<FlickerRate> below;
    std::optional<FlickerRate> above;  // none above the fastest
};
// A wish counts as met within this share: frequencies are written with five digits.
inline constexpr double kSameFrequencyShare = 1e-5;
// Longer periods are no flicker: they are an InputError.
inline constexpr int kMostFramesPerPeriod = 100'000;

// Both positive and finite (checked).
NearestRates nearest_rates(FlickerForm form, double wanted_hz, double refresh_hz);
// The rate that is exactly `wanted_hz`. If there is none, an InputError (key "frequency") names the nearest
// rates below and above.
FlickerRate rate_of(FlickerForm form, double wanted_hz, double refresh_hz);

// The amplitude of the frequency itself, as a share of half the exchange at full depth. A screen holds each
// frame until the next, which weakens a sine. The share is sin(pi/n) / (pi/n) for a sine of n frames (0.900
// for 4, 0.955 for 6), and 4/pi for a square, as for any square wave.
double fundamental_share(const FlickerRate& rate);

struct Flicker {
    FlickerRate rate;
    Exchange exchange = Exchange::lights;
    double depth = 1.0;  // 0..1; at 1 the exchange goes from all of A to all of B
    // The number of frames over which the depth rises from 0, and falls to 0, by a raised cosine. At least 0.
    int onset_frames = 0;
    int offset_frames = 0;
    // The frame from which only the mean shows. The offset ends before it. Without a value the flicker goes
    // on until it is stopped.
    std::optional<std::int64_t> end_frame;
};

// InputError with all faults of form: a depth outside 0 to 1, too few frames, a square with an odd number of
// frames, a negative ramp, an end before both ramps are over.
void check_flicker(const Flicker& flicker);

// The weight of each light in linear light. a + b = 1.
struct LightWeights {
    double a = 0.5;
    double b = 0.5;
};
struct FrameWeights {
    std::array<LightWeights, 2> halves;  // by Half
};

// Frame 0 is the first. Before it and from end_frame on the mean shows. At full depth the mean of any whole
// period is the mean of both lights, but for rounding.
FrameWeights flicker_frame(const Flicker& flicker, std::int64_t frame);

// The depth at a frame, ramps included.
double flicker_depth(const Flicker& flicker, std::int64_t frame);

// The same flicker, but asked at `frame` to end. It then ends as soon as its offset allows.
Flicker ending_from(const Flicker& flicker, std::int64_t frame);

}  // namespace isoseam
