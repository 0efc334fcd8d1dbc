// An instrument for tests: "reads" the very pixels in the middle of the X screen and prints a spectrum of
// them. Looks whether they are the codes that the measurement says it shows, and the surround dark, and fails
// if not.
//   pixel_instrument [--move-window N X Y] [--screen-saver N FILE]   (at reading N; the latter once, then
//   FILE is there)

#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>

#include "support/screen_pixels.h"
#include "support/screen_settings.h"

using namespace isoseam::test;

namespace {

std::string variable(const char* name) {
    const char* value = std::getenv(name);
    return value == nullptr ? "" : value;
}

bool is_reading(const char* number) {
    return variable("ISOSEAM_READING") == number;
}

double bell(double nm, double centre_nm) {
    return std::exp(-0.5 * std::pow((nm - centre_nm) / 20.0, 2));
}

// What was asked for, in codes.
std::array<unsigned, 3> planned_codes(double full) {
    std::istringstream words(variable("ISOSEAM_DRIVE"));
    std::array<unsigned, 3> codes{};
    for (unsigned& code : codes) {
        double drive = 0.0;
        words >> drive;
        code = static_cast<unsigned>(std::lround(drive * full));
    }
    return codes;
}

}  // namespace

int main(int argc, char** argv) {
    const ScreenPixels screen;
    const double full = (1 << screen.bits()) - 1;
    const std::array<unsigned, 3> codes = screen.codes(screen.width() / 2, screen.height() / 2);
    const std::array<unsigned, 3> surround = screen.codes(2, 2);
    const bool whole_screen = variable("ISOSEAM_STEP") == "size.100";
    if (codes != planned_codes(full) || (!whole_screen && surround != std::array<unsigned, 3>{})) {
        std::fprintf(stderr, "the screen shows %u %u %u in %u %u %u at step %s\n", codes[0], codes[1],
                     codes[2], surround[0], surround[1], surround[2], variable("ISOSEAM_STEP").c_str());
        return 1;
    }
    for (int i = 1; i < argc; ++i) {
        const std::string word = argv[i];
        if (word == "--move-window" && i + 3 < argc && is_reading(argv[i + 1]))
            ScreenSettings("").move_window("Isoseam", std::atoi(argv[i + 2]), std::atoi(argv[i + 3]));
        if (word == "--screen-saver" && i + 2 < argc && is_reading(argv[i + 1]) &&
            !std::ifstream(argv[i + 2])) {
            std::ofstream(argv[i + 2]) << "done\n";
            ScreenSettings("").set_screen_saver(true);
        }
    }
    for (double nm = 380.0; nm <= 780.0; nm += 5.0) {
        double light = 1e-6;
        for (int channel = 0; channel < 3; ++channel)
            light += 0.002 * std::pow(codes[static_cast<std::size_t>(channel)] / full, 2.2) *
                     bell(nm, std::array<double, 3>{610.0, 540.0, 450.0}[static_cast<std::size_t>(channel)]);
        std::printf("%g %.17g\n", nm, light);
    }
    return 0;
}
