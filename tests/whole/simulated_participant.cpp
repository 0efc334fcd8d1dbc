// Sits at a screen in a participant's place: looks at the pixels of both halves, decides as a simulated eye
// and hand would, and presses real keys. The session that it takes part in knows nothing of it.
//
//   simulated_participant PROTOCOL --participant CODE --out DIR [--seed N]
//
// DISPLAY names the X screen. What the participant is asked (a page, adaptation, a match) it learns from the
// session's log, as it cannot read; what it sees it learns from the screen alone.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <thread>

#include "runner/field_composer.h"
#include "runner/session_options.h"
#include "runner/simulated_observer.h"
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

DriveCode code_at(const test::ScreenPixels& screen, int column, int row) {
    DriveCode code;
    code.bits = screen.bits();
    for (const unsigned value : screen.codes(column, row))
        code.values.push_back(static_cast<std::uint16_t>(value));
    return code;
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

// Makes one match: looks, presses, looks again, until the hand accepts.
void make_match(const Setup& setup, const test::ScreenPixels& screen, const Observer& eye,
                SimulatedHand& hand) {
    const Half adjusted = setup.protocol().adjusted;
    const Half reference = setup.reference_half();
    const FieldLayout layout(setup.protocol().field,
                             viewing_geometry(setup, setup.field_source(), screen.width(), screen.height()));
    const auto see = [&](Half half) {
        const Point point = inside(layout, half);
        const DisplayModel& display = setup.solver(half).display();
        return linear_from_code(code_at(screen, point.column, point.row), display);
    };
    for (;;) {
        sleep_ms(40);  // until the frame is on the screen
        const Eigen::Vector3d seen = contrast_seen(eye, setup.solver(adjusted).display(), see(adjusted),
                                                   setup.solver(reference).display(), see(reference));
        const AdjustmentResponse response = hand.next(seen);
        if (response.kind == AdjustmentResponse::Kind::accept)
            break;
        press(key_of(response));
    }
    press("space");
}

void take_part(const Setup& setup, Log& log, std::uint64_t seed) {
    const test::ScreenPixels screen;
    const Observer eye(simulated_eye(setup.observer().parameters(), seed, 1));
    const RandomStream noise{seed, kStreamSimulatedSetting};
    const SettingNoise size;
    const double until_s = now_s() + kGiveUpSeconds;
    std::uint64_t answered = 0;  // number of the last event that was answered
    while (now_s() < until_s) {
        sleep_ms(30);
        const std::optional<nlohmann::json> event = log.last_event();
        if (!event || event->at("number").get<std::uint64_t>() == answered)
            continue;
        const std::string kind = event->at("event");
        if (kind == "trial_started") {
            const int trial = event->at("data").at("trial");
            const std::uint64_t draw = 3 * static_cast<std::uint64_t>(trial);
            int condition = 0;
            while (setup.protocol().conditions[static_cast<std::size_t>(condition)].name !=
                   event->at("data").at("condition"))
                ++condition;
            const AdjustmentProblem problem = setup.problem(condition, screen.bits());
            SimulatedHand hand(problem, eye,
                               Eigen::Vector3d(size.l * noise.normal(draw), size.m * noise.normal(draw + 1),
                                               size.s * noise.normal(draw + 2)));
            sleep_ms(150);
            make_match(setup, screen, eye, hand);
        } else if (kind == "page_shown" || kind == "rest_started" || kind == "session_ended") {
            sleep_ms(300);
            press("space");
        } else {
            continue;
        }
        answered = event->at("number");
        if (kind == "session_ended")
            return;
    }
    throw std::runtime_error("the session did not end in time");
}

}  // namespace

int main(int argc, char** argv) {
    CLI::App app("A simulated participant that presses real keys");
    ProtocolOptions protocol;
    std::string participant, out;
    std::uint64_t seed = 1;
    protocol.add_to(&app);
    app.add_option("--participant", participant, "code of the session to take part in")->required();
    app.add_option("--out", out, "folder of the sessions")->required();
    app.add_option("--seed", seed, "seed of eye and hand");
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
