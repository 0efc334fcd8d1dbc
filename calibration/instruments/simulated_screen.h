#pragma once
// This is an invented screen with the faults that real screens have, for rehearsals and for tests that need
// to know the truth.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "calibration/readings.h"
#include "calibration/tone_response.h"

namespace isoseam {

struct SimulatedScreen {
    std::string name;
    std::vector<double> wavelengths_nm;
    // The unit is W/(sr m2 nm) at full drive. There is a row for each wavelength and a column for each
    // primary.
    Eigen::MatrixXd primaries;
    Eigen::VectorXd black;
    std::vector<ToneResponse> tones;
    int bits = 10;  // drives are rounded to the nearest code

    // All shares are of the light that there would be without the fault.

    // The share that each primary loses when all others are at full drive. In between, the loss is
    // proportional to their mean linear light.
    double interaction = 0.0;
    // The share that is lost when the whole screen is white. The loss begins above `dimming_from`.
    double dimming = 0.0;
    // The mean linear light over the screen above which the loss begins.
    double dimming_from = 0.2;
    // The share that the corners lack compared with the centre. It grows with the distance squared.
    double corner_loss = 0.0;
    // The share of excess light when the screen is switched on. It falls to 1/e in `warm_up_s`.
    double warm_up_excess = 0.0;
    double warm_up_s = 300.0;
    // The share that is gained or lost for good in an hour.
    double drift_per_hour = 0.0;

    // The following are SDs of one reading.
    double gain_noise = 0.0;    // of the whole spectrum at once
    double sample_noise = 0.0;  // of each sample on its own
    double floor_noise = 0.0;   // of each sample, as a share of white's largest sample, whatever the light

    int primary_count() const { return static_cast<int>(tones.size()); }
};

// Gives a ready-made screen by its name: "additive", "interaction" (3 %), "dimming" (a fifth at full white)
// or "drifting". Each has 0.2 % noise. The first has no fault, and each of the others has only the faults
// that its name stands for. Throws an InputError (key `key`) that lists the names for any other word.
SimulatedScreen simulated_screen(const std::string& name, const std::string& key);
std::vector<std::string> simulated_screen_names();

// Gives the light without noise: the linear light of each primary, as reduced or increased by the other
// primaries, the lit area, the place and the time, and black, which depends on place and time too. `surround`
// may be empty; then it is dark.
Eigen::VectorXd simulated_light(const SimulatedScreen& screen, const Drive& drive, const Drive& surround,
                                const PatchPlace& place, double at_s);

}  // namespace isoseam
