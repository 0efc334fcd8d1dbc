// Sessions that flicker, and fields of quadrants, through the flow that every session runs through.

#include <catch2/catch.hpp>

#include <algorithm>
#include <set>
#include "results_schema/session_folder.h"

#include "colorimetry/population.h"
#include "runner/rehearsal/simulated_station.h"
#include "runner/session/session_flow.h"
#include "runner/station/shown_records.h"
#include "support/seats/scripted_station.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

Setup setup_of(Protocol protocol) {
    std::vector<Calibration> calibrations;
    for (const std::string& path : calibration_paths(protocol, {}))
        calibrations.push_back(read_calibration(path));
    return Setup(std::move(protocol), calibrations);
}

Setup photometry() {
    return setup_of(read_protocol(ISOSEAM_SOURCE_DIR "/protocols/library/flicker_photometry.yaml"));
}

Setup quadrants() {
    return setup_of(parse_protocol(
        "isoseam_protocol: 1\ntitle: Odd one\nobserver: {field: 2 deg, age: 32 years}\n"
        "rig: {distance: 600 mm, sources: {lcd: " ISOSEAM_SOURCE_DIR
        "/calibration/demo/demo_lcd.yaml}}\n"
        "lights: {grey: xyY 0.31 0.33 at 30 cd/m2}\n"
        "field: {shape: disc, size: 2 deg, parts: quadrants, surround: black}\n"
        "adjustment: {space: cone_contrast, axes: {L-M: {fine: 0.4 %, coarse: 1 %, start: 5 %}}}\n"
        "conditions: [{name: grey, reference: grey, repeats: 12}]\n",
        "quadrants.yaml"));
}

SessionFolder session(const Setup& setup, Station& station) {
    const TemporaryFolder out;
    SessionHeader header = describe_session(setup, 5, station);
    header.participant = "P01";
    header.kind = "session";
    header.started_utc = "2026-11-26T00:00:00.000Z";
    std::string folder;
    {
        SessionLog log = SessionLog::create(out.path(), header, Durability::at_end);
        folder = log.folder();
        run_session(
            setup, 5, {}, station, log, [](const std::string&) {}, {},
            setup.protocol().languages.empty() ? "" : "en");
    }
    return read_session_folder(folder);
}

}  // namespace

TEST_CASE("before flicker comes the exclusion question, and whoever does not say no leaves unseen") {
    const Setup setup = photometry();
    ScriptedStation station(setup, {escape()});
    const SessionFolder folder = session(setup, station);
    CHECK(folder.settings.empty());
    REQUIRE(folder.events.size() == 4);
    CHECK(folder.events[1].kind == "language_chosen");
    CHECK(folder.events[2].kind == "exclusion_asked");
    CHECK_THAT(folder.events[2].data.at("question").get<std::string>(), Catch::Contains("seizure"));
    CHECK(folder.events[2].data.at("before_flicker") == true);
    // The record does not say what was answered.
    CHECK(folder.events[3].kind == "session_ended");
    CHECK(folder.events[3].data ==
          nlohmann::json{{"reason", "left"}, {"settings", 0}, {"answers", 0}, {"ignored_presses", 0}});
    CHECK_FALSE(std::any_of(station.shown.begin(), station.shown.end(),
                            [](const std::string& shown) { return shown == "field"; }));
}

TEST_CASE("a simulated eye finds least flicker where its own luminances are equal") {
    const Setup setup = photometry();
    SimulatedStation station(setup, 4, 1, {.noise = {.l = 0.0, .m = 0.0, .s = 0.0}}, DitherKind::ordered);
    const SessionFolder folder = session(setup, station);
    CHECK(folder.state == SessionState::complete);
    CHECK(folder.header.sources.front().dither == "ordered");
    REQUIRE(folder.settings.size() == 12);
    const Observer eye(sampled_eye(setup.observer().parameters(), 4, 1).eye);
    const DisplayModel& display = setup.solver(0).display();
    for (const SettingRecord& setting : folder.settings) {
        const auto luminance = [&](const HalfRecord& half) {
            const Eigen::VectorXd linear = Eigen::Map<const Eigen::VectorXd>(
                half.linear.data(), static_cast<Eigen::Index>(half.linear.size()));
            return luminance_cd_m2(display.lms({linear}, eye), eye);
        };
        CHECK_FALSE(setting.frames);  // nothing was shown in frames
        CHECK(setting.adjusted_half == "second");
        // To half a fine step of 1 %.
        CHECK(luminance(setting.adjusted) == Approx(luminance(setting.reference)).epsilon(0.0052));
    }
}

TEST_CASE("which quadrant is odd is drawn for each setting, recorded, and the same for the same seed") {
    const Setup setup = quadrants();
    std::array<std::vector<std::string>, 2> odd;
    for (std::vector<std::string>& run : odd) {
        SimulatedStation station(setup, 4, 1, {});
        const SessionFolder folder = session(setup, station);
        CHECK(folder.state == SessionState::complete);
        for (const Event& event : folder.events) {
            if (event.kind == "trial_started")
                run.push_back(event.data.at("odd_quadrant"));
        }
        CHECK(folder.settings.front().adjusted.half == "odd");
        CHECK(folder.settings.front().reference.half == "others");
    }
    CHECK(odd[0] == odd[1]);
    REQUIRE(odd[0].size() == 12);
    CHECK(std::set<std::string>(odd[0].begin(), odd[0].end()).size() == 4);
}
