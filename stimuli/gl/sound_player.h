#pragma once
// Short soft sounds through the machine's usual sound device.

#include <memory>
#include <vector>

namespace isoseam {

struct Note {
    double frequency_hz = 0.0;
    double duration_s = 0.0;
};

// The loudest sample of a sound, of full scale (-26 dB): quiet beside whatever else the device plays.
inline constexpr float kSoundPeak = 0.05F;

// The samples of one channel. Every note swells and fades away by a raised cosine, so that it neither cracks
// nor startles. Frequencies are below half the rate, durations above 0 (checked).
std::vector<float> sound_samples(const std::vector<Note>& notes, int rate_hz);

// A VideoSystem must outlive it. MachineError when there is no sound device.
class SoundPlayer {
  public:
    SoundPlayer();
    ~SoundPlayer();
    SoundPlayer(const SoundPlayer&) = delete;
    SoundPlayer& operator=(const SoundPlayer&) = delete;

    // Returns at once; what was still to be heard is dropped.
    void play(const std::vector<Note>& notes);
    // How much is still to be heard.
    double left_s() const;

  private:
    struct Implementation;
    std::unique_ptr<Implementation> implementation_;
};

}  // namespace isoseam
