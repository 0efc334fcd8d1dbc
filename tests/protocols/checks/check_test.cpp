// What `protocol check` reports of a sound protocol. Faulty ones: reader_test.cpp.

#include <catch2/catch.hpp>
#include <cmath>

#include "protocols/checks/check.h"
#include "protocols/language/durations.h"
#include "protocols/language/ready_protocols.h"
#include "support/file_bytes.h"
#include "support/invented_display.h"
#include "support/protocols/example_protocol.h"
#include "support/published_table.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;

TEST_CASE("the report of a sound protocol has no fault and all its numbers") {
    const TemporaryFolder folder;
    write_file(folder.file("p.yaml"), kExample);
    const ProtocolReport report = check_protocol(folder.file("p.yaml"), {});
    CHECK(report.faults.empty());
    CHECK(report.settings == 8);
    CHECK(report.expected_duration_s == 160.0);
    CHECK_FALSE(report.halves_share_primaries);
    REQUIRE(report.conditions.size() == 2);
    CHECK(report.conditions[1].name == "pinkish");
    REQUIRE(report.blocks.size() == 1);
    CHECK(report.blocks[0].what == "adjustment");
    CHECK(report.blocks[0].trials == 8);

    const Setup setup = setup_of(kExample);
    const Eigen::ArrayXd x = setup.reference(1).fractions.array();
    CHECK(report.conditions[1].reference_margin == Approx(x.min(1.0 - x).minCoeff()).margin(1e-12));
    const Eigen::ArrayXd y = setup.solver(1)
                                 .solve(setup.adjustment(1, {8, DitherKind::ordered}).predicted)
                                 .linear.fractions.array();
    CHECK(report.conditions[1].match_margin == Approx(y.min(1.0 - y).minCoeff()).margin(1e-12));
    // Rods by the second copy of CIE 1951, summed at 1 nm: what matches for cones need not match for them.
    const auto rods = [](const Spectrum& light) {
        double sum = 0.0;
        for (const auto& row : published_table("cie1951_scotopic.csv"))
            sum += row[1] * light.at_nm(row[0]);
        return sum;
    };
    const double reference = rods(setup.solver(0).display().spectrum(setup.reference(1)));
    const double match = rods(setup.solver(1).display().spectrum(LinearDrive{y.matrix()}));
    // The reference is shown in codes of 8 bits, of which the report knows.
    CHECK(report.conditions[1].rod_contrast.value() == Approx(match / reference - 1.0).margin(0.01));
}

TEST_CASE("on one screen, what matches for cones matches for rods") {
    for (const ReadyProtocol& ready : ready_protocols()) {
        if (ready.name != "precision_one_screen")
            continue;
        const ProtocolReport report = check_protocol(ready.path, {});
        REQUIRE(report.conditions.size() >= 1);
        // Equal but for the steps of the reference's codes.
        for (const auto& condition : report.conditions)
            CHECK(std::abs(condition.rod_contrast.value()) < 0.01);
    }
}

TEST_CASE("the command line can give the calibrations, and a fault in one is told at its file") {
    const TemporaryFolder folder;
    write_file(folder.file("p.yaml"), kExample);
    int asked = 0;
    const auto checked_with = [&](const std::string& source, const std::string& file) {
        return check_protocol(folder.file("p.yaml"), [&](const Protocol& protocol) {
            ++asked;
            CHECK(protocol.file == folder.file("p.yaml"));
            return std::map<std::string, std::string>{{source, file}};
        });
    };
    CHECK(checked_with("narrow", kDemoLcd).halves_share_primaries);
    CHECK(asked == 1);
    const ProtocolReport report = checked_with("narrow", folder.file("none.yaml"));
    REQUIRE(report.faults.size() == 1);
    CHECK(report.faults[0].file == folder.file("none.yaml"));
    CHECK(report.faults[0].of == FaultOf::file);
    CHECK(report.settings == 8);  // known without any calibration
    const ProtocolReport misnamed = checked_with("narow", kDemoLcd);
    REQUIRE(misnamed.faults.size() == 1);
    CHECK_THAT(to_string(misnamed.faults[0]), Catch::Contains("has no source 'narow'"));
    CHECK(misnamed.faults[0].of == FaultOf::command_line);
}

TEST_CASE("a protocol that is not there is one fault") {
    const ProtocolReport report = check_protocol("/nowhere/p.yaml", {});
    REQUIRE(report.faults.size() == 1);
    CHECK(report.faults[0].of == FaultOf::file);
    CHECK(to_string(report.faults[0]) ==
          "/nowhere/p.yaml: cannot be read: No such file or directory; check the path and its permissions");
}

// Drives of the match are x; starts are uniform within +-start of each: the share in gamut is a product of
// lengths.
TEST_CASE("the reachable share is the share of the start box that lies in gamut") {
    Protocol protocol = parse_protocol(example_with({{", narrow: " + kDemoNarrowBand, ""},
                                                     {"right: narrow", "right: lcd"},
                                                     {"cone_contrast", "primaries"},
                                                     {"L-M: {fine: 0.4 %, coarse: 1.5 %, start: 5 %}",
                                                      "primary 1: {fine: 1 %, coarse: 2 %, start: 80 %}"},
                                                     {"L+M: {fine: 2 %, coarse: 6 %, start: 15 %}",
                                                      "primary 2: {fine: 1 %, coarse: 2 %, start: 50 %}"},
                                                     {"S: {fine: 3 %, coarse: 12 %, start: 30 %}",
                                                      "primary 3: {fine: 1 %, coarse: 2 %, start: 60 %}"}}),
                                       "example.yaml");
    const Setup setup(std::move(protocol), {invented_calibration({620.0, 535.0, 455.0})});
    const AdjustmentProblem problem = setup.adjustment(0, 8);
    const Eigen::VectorXd x = problem.solver->solve(problem.predicted).linear.fractions;
    double expected = 1.0;
    for (Eigen::Index i = 0; i < 3; ++i) {
        const double start = problem.axes[static_cast<std::size_t>(i)].start;
        expected *= (std::min(1.0 - x[i], start) + std::min(x[i], start)) / (2.0 * start);
    }
    REQUIRE(expected > 0.05);
    REQUIRE(expected < 0.95);
    // Binomial; five standard deviations are exceeded once in 1.7 million.
    const double deviation = std::sqrt(expected * (1.0 - expected) / kReachabilityDraws);
    CHECK(std::abs(reachable_share(problem) - expected) <= 5.0 * deviation);
}

TEST_CASE("starts that mostly lie out of gamut, and very long sessions, are told") {
    const TemporaryFolder folder;
    write_file(folder.file("p.yaml"),
               example_with({{"start: 5 %", "start: 60 %"}, {"repeats: 5", "repeats: 300"}}));
    const ProtocolReport report = check_protocol(folder.file("p.yaml"), {});
    CHECK(report.faults.empty());
    std::string all;
    for (const std::string& caution : report.cautions)
        all += caution + "\n";
    CHECK(all.find("Of 2000 starting points of condition 'grey', ") != std::string::npos);
    CHECK(all.find(
              "The session will take about 101 minutes, which is long for one sitting: plan it in parts.") !=
          std::string::npos);
}
