#include "stimuli/gl/sound_player.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <complex>
#include <cstdlib>
#include <numbers>
#include <stdexcept>

#include "base/errors.h"
#include "stimuli/gl/presenter.h"
#include "support/virtual_screen.h"

using namespace isoseam;

namespace {

constexpr int kRateHz = 48000;

// The share of the sound's energy near a frequency would be a transform's job; the strength of one frequency
// is a sum (discrete Fourier transform, textbook definition).
double strength(const std::vector<float>& samples, double frequency_hz) {
    std::complex<double> sum;
    for (std::size_t k = 0; k < samples.size(); ++k)
        sum += static_cast<double>(samples[k]) *
               std::polar(1.0, -2.0 * std::numbers::pi * frequency_hz * static_cast<double>(k) / kRateHz);
    return std::abs(sum);
}

}  // namespace

TEST_CASE("a sound is as long and as high as asked for, quiet, and begins and ends softly") {
    const std::vector<float> samples = sound_samples({{440.0, 0.1}}, kRateHz);
    CHECK(samples.size() == 4800);
    float loudest = 0.0F;
    float largest_leap = 0.0F;
    for (std::size_t k = 1; k < samples.size(); ++k) {
        loudest = std::max(loudest, std::abs(samples[k]));
        largest_leap = std::max(largest_leap, std::abs(samples[k] - samples[k - 1]));
    }
    CHECK(loudest <= kSoundPeak);
    CHECK(loudest > 0.9F * kSoundPeak);
    // No steeper than the sine itself at its loudest: nothing cracks.
    CHECK(largest_leap < 1.1F * kSoundPeak * static_cast<float>(2.0 * std::numbers::pi * 440.0 / kRateHz));
    CHECK(std::abs(samples.front()) < 1e-6F);
    CHECK(std::abs(samples.back()) < 1e-6F);
    CHECK(strength(samples, 440.0) > 20.0 * strength(samples, 660.0));
    CHECK(sound_samples({{440.0, 0.1}, {660.0, 0.05}}, kRateHz).size() == 7200);
    CHECK_THROWS_AS(sound_samples({{30000.0, 0.1}}, kRateHz), std::logic_error);
}

TEST_CASE("sounds are played at once, a new one instead of the last, and without a device that is said") {
    const test::VirtualScreen screen(400, 300, 24);
    screen.use();
    const VideoSystem video;
    // SDL's own driver that takes samples and throws them away.
    setenv("SDL_AUDIODRIVER", "dummy", 1);
    {
        SoundPlayer player;
        CHECK(player.left_s() == 0.0);
        player.play({{440.0, 2.0}});
        player.play({{440.0, 1.0}});
        CHECK(player.left_s() > 0.5);
        CHECK(player.left_s() <= 1.0);
    }
    setenv("SDL_AUDIODRIVER", "nothing", 1);
    CHECK_THROWS_WITH(SoundPlayer(),
                      Catch::Contains("no sound: ") && Catch::Contains("or leave --sounds out"));
    unsetenv("SDL_AUDIODRIVER");
}
