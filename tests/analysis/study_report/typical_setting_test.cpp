#include "analysis/study_report/typical_setting.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "support/example_study.h"
#include "support/report_parts.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

TEST_CASE("the typical setting is the one nearest to its participant's mean") {
    SessionFolder folder = StudyMaker().empty("P01");
    StudyMaker().add_settings(folder, "grey", 5, 9);
    Eigen::Vector3d mean = Eigen::Vector3d::Zero();
    const auto contrast = [](const SettingRecord& s) {
        return Eigen::Vector3d(s.contrast_from_predicted[0], s.contrast_from_predicted[1],
                               s.contrast_from_predicted[2]);
    };
    for (const SettingRecord& setting : folder.settings)
        mean += contrast(setting) / 5.0;
    const auto nearest =
        std::min_element(folder.settings.begin(), folder.settings.end(), [&](const auto& a, const auto& b) {
            return (contrast(a) - mean).norm() < (contrast(b) - mean).norm();
        });
    const StudyEvidence evidence = gather_study({folder});
    REQUIRE(evidence.typical.size() == 1);
    CHECK(evidence.typical[0].trial == nearest->trial);
    // Its light: 0.25 of the sum of the primaries, and black.
    const SessionHeader& header = folder.header;
    const DisplayModel display(parse_calibration(header.calibrations.begin()->second.text, "x"));
    CHECK(
        evidence.typical[0].reference_light->at_nm(548.0) ==
        Approx(display.spectrum({Eigen::Vector3d::Constant(0.25)}).at_nm(548.0)).epsilon(test::kFiveDigits));
}
