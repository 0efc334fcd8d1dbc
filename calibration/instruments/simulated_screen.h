#pragma once
// An invented screen with the faults that real ones have, for rehearsal and for tests that need to know the
// truth.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "calibration/readings.h"
#include "calibration/tone_response.h"

namespace isoseam {

struct SimulatedScreen {
    std::string name;
    std::vector<double> wavelengths_nm;
    // W/(sr m2 nm) at full drive; a row for each wavelength, a column for each primary.
    Eigen::MatrixXd primaries;
    Eigen::VectorXd black;
    std::vector<ToneResponse> tones;
    int bits = 10;  // drives are rounded to the nearest code

    // All shares are of the light that there would be without the fault.

    // What each primary loses when all others are at full; in between it is in proportion to their mean
    // linear light.
    double interaction = 0.0;
    double dimming = 0.0;         // what is lost when the whole screen is white; sets in above `dimming_from`
    double dimming_from = 0.2;    // of the mean linear light over the screen
    double corner_loss = 0.0;     // what the corners lack against the centre; grows with the distance squared
    double warm_up_excess = 0.0;  // what is too much when switched on; falls to 1/e in `warm_up_s`
    double warm_up_s = 300.0;
    double drift_per_hour = 0.0;  // what is gained or lost for good

    // SDs of one reading.
    double gain_noise = 0.0;    // of the whole spectrum at once
    double sample_noise = 0.0;  // of each sample on its own
    double floor_noise = 0.0;   // of each sample, as a share of white's largest sample, whatever the light

    int primary_count() const { return static_cast<int>(tones.size()); }
};

// What a ready screen is called: "additive", "interaction" (3 %), "dimming" (a fifth at full white),
// "drifting"; each with 0.2 % noise and, but for the first, no other fault. InputError (key `key`) that lists
// them.
SimulatedScreen simulated_screen(const std::string& name, const std::string& key);
std::vector<std::string> simulated_screen_names();

// The light without noise: linear light of each primary, what the other primaries, the lit area, the place
// and the time leave of it, and black, which has the place and the time too. `surround` may be empty: dark.
Eigen::VectorXd simulated_light(const SimulatedScreen& screen, const Drive& drive, const Drive& surround,
                                const PatchPlace& place, double at_s);

}  // namespace isoseam
