#include "runner/rehearsal/simulated_observer.h"

#include <catch2/catch.hpp>

#include "colorimetry/population.h"
#include "results_schema/session_folder.h"
#include "runner/rehearsal/simulated_station.h"
#include "runner/session/session_flow.h"
#include "runner/station/shown_records.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

Setup ready_setup(const std::string& name) {
    Protocol protocol = read_protocol(ISOSEAM_SOURCE_DIR "/protocols/library/" + name + ".yaml");
    std::vector<Calibration> calibrations;
    for (const std::string& path : calibration_paths(protocol, {}))
        calibrations.push_back(read_calibration(path));
    return Setup(std::move(protocol), calibrations);
}

std::vector<SettingRecord> rehearse(const Setup& setup, std::uint64_t seed, std::uint64_t index,
                                    const SettingNoise& noise) {
    const TemporaryFolder out;
    SimulatedStation station(setup, seed, index, {.noise = noise});
    SessionHeader header = describe_session(setup, seed, station);
    header.participant = "simulated";
    header.kind = "rehearsal";
    header.started_utc = "2026-11-25T16:03:12.345Z";
    header.simulated_observer = station.description();
    SessionLog log = SessionLog::create(out.path(), header, Durability::at_end);
    run_session(setup, seed, {}, station, log, [](const std::string&) {});
    const SessionFolder folder = read_session_folder(log.folder());
    REQUIRE(folder.state == SessionState::complete);
    return folder.settings;
}

}  // namespace

TEST_CASE("on one screen any eye without noise sets the known match to within its steps") {
    // Halves with the same primaries match at equal drive values whatever the eye.
    const Setup setup = ready_setup("precision_one_screen");
    const std::vector<AdjustmentAxis>& axes = setup.protocol().conditions.front().axes;
    for (std::uint64_t index = 1; index <= 3; ++index) {
        for (const SettingRecord& setting : rehearse(setup, 5, index, {0.0, 0.0, 0.0})) {
            for (std::size_t k = 0; k < axes.size(); ++k) {
                INFO("trial " << setting.trial << " axis " << axes[k].name << " at " << setting.setting[k]);
                CHECK(std::abs(setting.setting[k]) <=
                      1.5 * axes[k].fine);  // half a step, and the codes' own steps
            }
        }
    }
}

TEST_CASE("between two sources each eye sets its own match: that of its own cones") {
    const Setup setup = ready_setup("metamer_two_sources");
    const std::vector<AdjustmentAxis>& axes = setup.protocol().conditions.front().axes;
    // A hand that has gone to and fro gives up within one fine step of each axis (L+M 2 %, L-M 0.4 %), and
    // the codes of 8 bits add up to half a code in each primary (about 0.6 %).
    constexpr double kOneStepAndHalfACode = 0.02 + 0.004 + 0.006;
    double farthest = 0.0;
    for (std::uint64_t index = 1; index <= 3; ++index) {
        const Observer eye(sampled_eye(setup.observer().parameters(), 5, index).eye);
        for (const SettingRecord& setting : rehearse(setup, 5, index, {0.0, 0.0, 0.0})) {
            const auto linear = [](const HalfRecord& half) {
                return LinearDrive{Eigen::Map<const Eigen::VectorXd>(
                    half.linear.data(), static_cast<Eigen::Index>(half.linear.size()))};
            };
            const Eigen::Vector3d seen = contrast_seen(
                eye, setup.solver(setup.protocol().adjusted).display(), linear(setting.adjusted),
                setup.solver(setup.reference_half()).display(), linear(setting.reference));
            CHECK(std::abs(seen[0]) < kOneStepAndHalfACode);
            CHECK(std::abs(seen[1]) < kOneStepAndHalfACode);
            farthest = std::max(farthest, Eigen::Vector3d(setting.contrast_from_predicted[0],
                                                          setting.contrast_from_predicted[1],
                                                          setting.contrast_from_predicted[2])
                                              .norm());
        }
    }
    CHECK(axes.size() == 3);
    CHECK(farthest > 0.01);  // and it is not the nominal observer's
}

TEST_CASE("a rehearsal of a seed is the same every time, and another observer is another") {
    const Setup setup = ready_setup("demo");
    const auto json = [](const std::vector<SettingRecord>& settings) {
        nlohmann::json all = nlohmann::json::array();
        for (const SettingRecord& setting : settings)
            all.push_back(to_json(setting));
        return all.dump();
    };
    const std::string once = json(rehearse(setup, 5, 1, {}));
    CHECK(once == json(rehearse(setup, 5, 1, {})));
    CHECK(once != json(rehearse(setup, 5, 2, {})));
    CHECK(once != json(rehearse(setup, 6, 1, {})));
}
