// Sits at a screen in a participant's place: looks at the pixels of both halves, decides as a simulated eye
// and hand would, and presses real keys. The session that it takes part in knows nothing of it.
//
//   simulated_participant PROTOCOL --participant CODE --out DIR [--seed N]
//
// DISPLAY names the X screen. What the participant is asked (a page, adaptation, a match) it learns from the
// session's log, as it cannot read; what it sees it learns from the screen alone.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <array>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <limits>
#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <thread>

#include "colorimetry/population.h"
#include "runner/commands/command_words.h"
#include "runner/commands/session_options.h"
#include "runner/rehearsal/setting_noise.h"
#include "runner/rehearsal/simulated_observer.h"
#include "runner/screen/field_composer.h"
#include "support/screen_pixels.h"

using namespace isoseam;

namespace {

constexpr double kGiveUpSeconds = 180.0;

double now_s() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

void sleep_ms(int milliseconds) {
    std::this_thread::sleep_for(std::chrono::milliseconds(milliseconds));
}

struct Point {
    int column = 0;
    int row = 0;
};

// Well inside a half: from the field's centre straight away from the split, the middle of the stretch that is
// all half.
Point inside(const FieldLayout& layout, Half half) {
    const double sign = half == Half::first ? -1.0 : 1.0;
    std::vector<Point> all;
    for (double distance = 0.0; distance < layout.outer_px(); distance += 1.0) {
        const Point point{
            static_cast<int>(layout.viewing().centre_x_px + sign * distance * layout.split_normal_x()),
            static_cast<int>(layout.viewing().centre_y_px + sign * distance * layout.split_normal_y())};
        const RegionShares shares = layout.shares(point.column, point.row);
        if (layout.is_interior(point.column, point.row) &&
            (half == Half::first ? shares.first : shares.second) == 1.0)
            all.push_back(point);
    }
    if (all.empty())
        throw std::runtime_error("the half has no interior");
    return all[all.size() / 2];
}

void press(const std::string& key) {
    const std::string command = fmt::format("xdotool key --delay 0 {}", key);
    if (std::system(command.c_str()) != 0)
        throw std::runtime_error("xdotool failed");
}

std::string key_of(const AdjustmentResponse& response) {
    static const char* const kKeys[3][2] = {{"Left", "Right"}, {"Down", "Up"}, {"Next", "Prior"}};
    const std::string key = kKeys[response.axis][response.direction > 0 ? 1 : 0];
    return response.coarse ? "shift+" + key : key;
}

// The last event of the participant's session: of the first folder that was not there when this program
// started.
class Log {
  public:
    Log(std::string out, const std::string& participant) : out_(std::move(out)), prefix_(participant + "-") {
        for (const std::string& folder : folders())
            earlier_.insert(folder);
    }

    std::optional<nlohmann::json> last_event() {
        for (const std::string& folder : folders()) {
            if (earlier_.count(folder) == 0)
                file_ = folder + "/settings.jsonl";
        }
        std::ifstream stream(file_);
        std::string line, last;
        while (std::getline(stream, line) && !stream.eof())
            last = line;
        if (last.empty())
            return std::nullopt;
        return nlohmann::json::parse(last);
    }

  private:
    std::vector<std::string> folders() const {
        std::vector<std::string> all;
        if (!std::filesystem::exists(out_))
            return all;
        for (const auto& entry : std::filesystem::directory_iterator(out_)) {
            if (entry.path().filename().string().starts_with(prefix_))
                all.push_back(entry.path().string());
        }
        return all;
    }

    std::string out_;
    std::string prefix_;
    std::set<std::string> earlier_;
    std::string file_;
};

// What the participant sees of the field: the mean light of a patch well inside each half, over dither.
class Sight {
  public:
    Sight(const Setup& setup, const test::ScreenPixels& screen)
        : setup_(setup),
          screen_(screen),
          layout_(setup.protocol().field,
                  viewing_geometry(setup, setup.field_source(), screen.width(), screen.height())) {}

    std::array<Eigen::VectorXd, 2> halves() const {
        return {linear(Half::first).fractions, linear(Half::second).fractions};
    }
    // Whether the adjusted half stands where the trial starts: the field of the trial before may still be on
    // the screen.
    bool shows_start(const AdjustmentProblem& problem, const Eigen::VectorXd& start) const {
        const DisplayModel& display = problem.solver->display();
        const LinearDrive wanted = stimulus_at(problem, start).linear;
        const double full = (1 << screen_.bits()) - 1;
        const Eigen::VectorXd apart =
            full * (display.drive_from_linear(linear(setup_.protocol().adjusted)).fractions -
                    display.drive_from_linear(wanted).fractions);
        return apart.cwiseAbs().maxCoeff() <= 1.0;
    }

    // Contrast of the adjusted against the reference half for this eye.
    Eigen::Vector3d contrast(const Observer& eye) const {
        const Half adjusted = setup_.protocol().adjusted;
        const Half reference = setup_.reference_half();
        return contrast_seen(eye, setup_.solver(adjusted).display(), linear(adjusted),
                             setup_.solver(reference).display(), linear(reference));
    }

  private:
    LinearDrive linear(Half half) const {
        constexpr int kPatchPx = 16;
        const Point middle = inside(layout_, half);
        LinearDrive mean{Eigen::VectorXd::Zero(3)};
        const auto pixels =
            screen_.block(middle.column - kPatchPx / 2, middle.row - kPatchPx / 2, kPatchPx, kPatchPx);
        for (const std::array<unsigned, 3>& pixel : pixels) {
            DriveCode code{{}, screen_.bits()};
            for (const unsigned value : pixel)
                code.values.push_back(static_cast<std::uint16_t>(value));
            mean.fractions += linear_from_code(code, setup_.solver(half).display()).fractions;
        }
        mean.fractions /= static_cast<double>(pixels.size());
        return mean;
    }

    const Setup& setup_;
    const test::ScreenPixels& screen_;
    FieldLayout layout_;
};

// True as soon as `condition` holds; false after so long.
template <class Condition>
bool wait_until(double longest_s, const Condition& condition) {
    const double until_s = now_s() + longest_s;
    while (!condition()) {
        if (now_s() > until_s)
            return false;
        sleep_ms(10);
    }
    return true;
}

// Looks, presses, and looks again once the light has changed (a step finer than a code changes nothing),
// until the hand would accept. Returns how many keys it pressed.
int steer(SimulatedHand& hand, const Sight& sight, const Observer& eye) {
    constexpr double kLongestFrameSeconds = 0.5;
    for (int pressed = 0;; ++pressed) {
        const AdjustmentResponse response = hand.next(sight.contrast(eye));
        if (response.kind == AdjustmentResponse::Kind::accept)
            return pressed;
        const std::array<Eigen::VectorXd, 2> before = sight.halves();
        press(key_of(response));
        wait_until(kLongestFrameSeconds, [&] { return sight.halves() != before; });
    }
}

// Makes one match. On a busy machine a frame may come later than the look: so the hand starts afresh until a
// round of pressing brings the halves no nearer.
void make_match(const AdjustmentProblem& problem, const Eigen::VectorXd& start, const Sight& sight,
                const Observer& eye, const Eigen::Vector3d& aim) {
    constexpr double kLongestStartSeconds = 20.0;
    if (!wait_until(kLongestStartSeconds, [&] { return sight.shows_start(problem, start); }))
        throw std::runtime_error("the field did not come to the screen");
    const auto distance = [&] { return (sight.contrast(eye) - aim).norm(); };
    double nearest = std::numeric_limits<double>::infinity();
    for (double now = distance(); now < 0.9 * nearest; now = distance()) {
        nearest = now;
        SimulatedHand hand(problem, EyeOnScreen(eye, problem.solver->display()), aim);
        if (steer(hand, sight, eye) == 0)
            break;
        sleep_ms(200);
    }
    press("space");
}

int condition_index(const Protocol& protocol, const std::string& name) {
    for (std::size_t i = 0; i < protocol.conditions.size(); ++i) {
        if (protocol.conditions[i].name == name)
            return static_cast<int>(i);
    }
    throw std::runtime_error("unknown condition " + name);
}

void take_part(const Setup& setup, Log& log, std::uint64_t seed) {
    constexpr double kPatienceSeconds = 3.0;  // then a key was lost, and is pressed again
    const test::ScreenPixels screen;
    const Sight sight(setup, screen);
    const Observer eye(sampled_eye(setup.observer().parameters(), seed, 1).eye);
    const RandomStream noise{seed, kStreamSimulatedSetting};
    const SettingNoise size;
    const double until_s = now_s() + kGiveUpSeconds;
    std::uint64_t answered = 0;  // number of the last event that was answered, and when
    double answered_s = 0.0;
    while (now_s() < until_s) {
        sleep_ms(30);
        const std::optional<nlohmann::json> event = log.last_event();
        if (!event ||
            (event->at("number").get<std::uint64_t>() == answered && now_s() < answered_s + kPatienceSeconds))
            continue;
        const std::string kind = event->at("event");
        const bool again = event->at("number").get<std::uint64_t>() == answered;
        if (kind == "trial_started" && again) {
            press("space");
        } else if (kind == "trial_started") {
            const nlohmann::json& data = event->at("data");
            const AdjustmentProblem problem =
                setup.adjustment(condition_index(setup.protocol(), data.at("condition")),
                                 {screen.bits(), DitherKind::ordered});
            const std::uint64_t draw = 3 * data.at("trial").get<std::uint64_t>();
            const std::vector<double> start = data.at("start");
            make_match(
                problem,
                Eigen::Map<const Eigen::VectorXd>(start.data(), static_cast<Eigen::Index>(start.size())),
                sight, eye,
                Eigen::Vector3d(size.l * noise.normal(draw), size.m * noise.normal(draw + 1),
                                size.s * noise.normal(draw + 2)));
        } else if (kind == "page_shown" || kind == "rest_started") {
            sleep_ms(300);
            press("space");
        } else if (kind == "session_ended") {
            for (int i = 0; i < 3; ++i) {  // nothing tells whether the last page is on the screen already
                sleep_ms(300);
                press("space");
            }
            return;
        } else {
            continue;
        }
        answered = event->at("number");
        answered_s = now_s();
    }
    throw std::runtime_error("the session did not end in time");
}

}  // namespace

int main(int argc, char** argv) {
    CLI::App app("A simulated participant that presses real keys");
    Command command(app);
    ProtocolOptions protocol;
    std::string participant, out;
    std::uint64_t seed = 1;
    protocol.add_to(&command);
    command.add_option("--participant", participant, "code of the session to take part in")->required();
    command.add_option("--out", out, "folder of the sessions")->required();
    command.add_option("--seed", seed, "seed of eye and hand");
    CLI11_PARSE(app, argc, argv);
    try {
        Log log(out, participant);
        take_part(protocol.setup(), log, seed);
    } catch (const std::exception& error) {
        fmt::print(stderr, "simulated participant: {}\n", error.what());
        return 1;
    }
    return 0;
}
