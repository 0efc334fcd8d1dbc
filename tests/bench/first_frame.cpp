// How long from the start of `isoseam session run` to its first frame on a virtual screen; beside it, in the
// same run, how long the program takes to start and end without a screen. Run by hand:
// build/release/tests/bench_first_frame

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <thread>
#include <vector>

#include "support/run_program.h"
#include "support/screen_pixels.h"
#include "support/temporary_folder.h"
#include "support/virtual_screen.h"

using namespace isoseam::test;

namespace {

constexpr int kRuns = 7;
const std::string kProgram = ISOSEAM_BINARY_DIR "/runner/isoseam";

double now_ms() {
    return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now().time_since_epoch())
        .count();
}

bool is_lit(const ScreenPixels& pixels) {
    const std::array<unsigned, 3> codes = pixels.codes(5, 5);
    return codes[0] + codes[1] + codes[2] > 0;
}

double first_frame_ms() {
    const TemporaryFolder out;
    const VirtualScreen screen(1280, 800, 24);
    const ScreenPixels pixels(screen.display());
    ProgramOptions options;
    options.environment = {{"DISPLAY", screen.display()}, {"SDL_VIDEODRIVER", "x11"}};
    const double start = now_ms();
    const RunningProgram program(
        {kProgram, "session", "run", "demo", "--participant", "bench", "--out", out.path()}, options);
    while (!is_lit(pixels)) {
        if (now_ms() - start > 20'000.0)
            throw std::runtime_error("no frame within 20 s");
        std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
    return now_ms() - start;
}

double version_ms() {
    const double start = now_ms();
    run_program({kProgram, "--version"});
    return now_ms() - start;
}

double median(std::vector<double> values) {
    std::nth_element(values.begin(), values.begin() + static_cast<long>(values.size() / 2), values.end());
    return values[values.size() / 2];
}

}  // namespace

int main() {
    std::vector<double> frames, versions;
    for (int i = 0; i < kRuns; ++i) {
        versions.push_back(version_ms());
        frames.push_back(first_frame_ms());
    }
    std::printf(
        "first frame: median %.0f ms, largest %.0f ms of %d runs; start and end without a screen: median "
        "%.0f ms\n",
        median(frames), *std::max_element(frames.begin(), frames.end()), kRuns, median(versions));
    return 0;
}
