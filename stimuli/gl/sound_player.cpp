#include "stimuli/gl/sound_player.h"

#include <SDL.h>
#include <fmt/format.h>

#include <cmath>
#include <numbers>
#include <string>

#include "base/errors.h"

namespace isoseam {
namespace {

constexpr int kRateHz = 48000;
// The buffer delays a sound by about 10 ms.
constexpr int kBufferSamples = 512;

[[noreturn]] void no_sound(const std::string& why) {
    throw MachineError(fmt::format("no sound: {}", why),
                       "check that a sound device is attached and switched on, or leave --sounds out");
}

}  // namespace

std::vector<float> sound_samples(const std::vector<Note>& notes, int rate_hz) {
    std::vector<float> samples;
    for (const Note& note : notes) {
        ISOSEAM_CHECK_GT(note.frequency_hz, 0.0);
        ISOSEAM_CHECK_LT(2.0 * note.frequency_hz, static_cast<double>(rate_hz));
        ISOSEAM_CHECK_GT(note.duration_s, 0.0);
        const auto count = static_cast<int>(std::lround(note.duration_s * rate_hz));
        for (int k = 0; k < count; ++k) {
            const double envelope = 0.5 * (1.0 - std::cos(2.0 * std::numbers::pi * k / (count - 1)));
            const double phase = 2.0 * std::numbers::pi * note.frequency_hz * k / rate_hz;
            samples.push_back(kSoundPeak * static_cast<float>(envelope * std::sin(phase)));
        }
    }
    return samples;
}

struct SoundPlayer::Implementation {
    SDL_AudioDeviceID device = 0;
};

SoundPlayer::SoundPlayer() : implementation_(std::make_unique<Implementation>()) {
    if (SDL_InitSubSystem(SDL_INIT_AUDIO) != 0)
        no_sound(SDL_GetError());
    SDL_AudioSpec wanted{};
    wanted.freq = kRateHz;
    wanted.format = AUDIO_F32SYS;
    wanted.channels = 1;
    wanted.samples = kBufferSamples;
    // Whatever the device itself takes, SDL converts to.
    implementation_->device = SDL_OpenAudioDevice(nullptr, 0, &wanted, nullptr, 0);
    if (implementation_->device == 0) {
        const std::string why = SDL_GetError();
        SDL_QuitSubSystem(SDL_INIT_AUDIO);
        no_sound(why);
    }
    SDL_PauseAudioDevice(implementation_->device, 0);
}

SoundPlayer::~SoundPlayer() {
    SDL_CloseAudioDevice(implementation_->device);
    SDL_QuitSubSystem(SDL_INIT_AUDIO);
}

void SoundPlayer::play(const std::vector<Note>& notes) {
    const std::vector<float> samples = sound_samples(notes, kRateHz);
    SDL_ClearQueuedAudio(implementation_->device);
    SDL_QueueAudio(implementation_->device, samples.data(),
                   static_cast<Uint32>(samples.size() * sizeof(float)));
}

double SoundPlayer::left_s() const {
    return SDL_GetQueuedAudioSize(implementation_->device) / (sizeof(float) * double{kRateHz});
}

}  // namespace isoseam
