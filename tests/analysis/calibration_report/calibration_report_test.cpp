#include "analysis/calibration_report/calibration_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <pugixml.hpp>
#include <set>

#include "analysis/figures/gnuplot.h"
#include "support/simulated_panel.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// What a plan asks for, as far as a report shows it: ramps, mixtures, white again and again, on other sizes
// and at other places, and colours that the fit does not see.
Readings full_readings() {
    SimulatedPanel panel = simulated_panel(8.0);
    panel.drift_per_hour = 0.5;
    SimulatedReader reader(panel, 3);
    read_plan(reader, 6, 1);
    for (const double area : {0.05, 0.2})
        reader.read(Eigen::Vector3d::Ones(), 1, "", area);
    read_verification(reader, 5, 1);
    Readings readings = reader.readings();
    for (const double x : {0.1, 0.9}) {
        Reading elsewhere = readings.rows.front();
        elsewhere.drive.fractions = Eigen::Vector3d::Ones();
        elsewhere.place.x = x;
        const Eigen::VectorXd light = 0.96 * panel.light(Eigen::Vector3d::Ones());
        elsewhere.values.assign(light.begin(), light.end());
        readings.rows.push_back(elsewhere);
    }
    return readings;
}

// Black and primaries alone.
Readings bare_readings() {
    SimulatedReader reader(simulated_panel(8.0), 4);
    reader.read(Eigen::Vector3d::Zero(), 3);
    for (int k = 1; k <= 5; ++k) {
        for (int i = 0; i < 3; ++i)
            reader.read(0.2 * k * Eigen::Vector3d::Unit(i));
    }
    return reader.readings();
}

CalibrationReportInput input_of(const Readings& readings) {
    CalibrationReportInput input;
    input.readings = readings;
    input.readings_file = "readings.csv";
    input.options.replicates = 20;
    return input;
}

std::string page_of(const CalibrationEvidence& evidence) {
    return calibration_report(evidence, {{"readings", "readings.csv", std::string(64, 'a')}}, "a test",
                              [](const Figure& figure) { return drawn(figure, PictureFormat::svg); });
}

struct Page {
    explicit Page(const std::string& text) {
        const pugi::xml_parse_result result = document.load_string(text.c_str(), pugi::parse_full);
        INFO(result.description());
        REQUIRE(result);
    }
    std::vector<std::string> all(const char* path) const {
        std::vector<std::string> found;
        for (const pugi::xpath_node& node : document.select_nodes(path))
            found.emplace_back(node.node().text().get());
        return found;
    }
    // The cells of the row that begins with `header`, in the table whose caption begins with `caption`.
    std::vector<std::string> row(const std::string& caption, const std::string& header) const {
        return all(fmt::format("//table[starts-with(caption, '{}')]/tbody/tr[th = '{}']/td", caption, header)
                       .c_str());
    }
    pugi::xml_document document;
};

bool any_contains(const std::vector<std::string>& texts, const std::string& part) {
    return std::any_of(texts.begin(), texts.end(),
                       [&](const std::string& text) { return text.find(part) != std::string::npos; });
}

}  // namespace

TEST_CASE("A report is one page with every section, table headers and told pictures, and asks for nothing") {
    const std::string text = page_of(gather_evidence(input_of(full_readings())));
    const Page page(text);
    CHECK(page.all("//h2") ==
          std::vector<std::string>{"Summary", "Methods", "Numbers", "Figures", "Provenance"});
    CHECK(std::string(page.document.child("html").attribute("lang").value()) == "en");
    for (const char* outside : {"http", "src=", "url(http", "@import", "<script", "<link", "xlink"}) {
        CAPTURE(outside);
        CHECK(text.find(outside) == std::string::npos);
    }
    const auto count = [&](const char* path) { return page.document.select_nodes(path).size(); };
    CHECK(count("//figure/svg") == 9);
    CHECK(count("//figure/svg[@role = 'img'][title != ''][desc != '']") == count("//figure"));
    CHECK(count("//figure/figcaption") == count("//figure"));
    CHECK(count("//table[caption][thead/tr/th[@scope = 'col']]") == count("//table"));
    CHECK(count("//tbody/tr[not(th[@scope = 'row'])]") == 0);
    CHECK(any_contains(page.all("//li"), "Against 5 colours that were read apart from the fit"));
    CHECK(text.find("Not shown") == std::string::npos);
}

TEST_CASE("Ids of a report's pictures differ, and each reference finds its own picture's") {
    const Page page(page_of(gather_evidence(input_of(full_readings()))));
    std::set<std::string> ids;
    std::size_t count = 0;
    for (const pugi::xpath_node& found : page.document.select_nodes("//@id")) {
        ids.insert(found.attribute().value());
        ++count;
    }
    CHECK(ids.size() == count);
    const auto uses = page.document.select_nodes("//use/@href");
    CHECK(!uses.empty());
    for (const pugi::xpath_node& found : uses) {
        CAPTURE(found.attribute().value());
        CHECK(ids.count(std::string(found.attribute().value()).substr(1)) == 1);
    }
}

TEST_CASE("A report's numbers are the fit's") {
    const CalibrationReportInput input = input_of(full_readings());
    const ScreenFit fit = fit_screen(input.readings, input.readings_file, input.options);
    const CalibrationEvidence evidence = gather_evidence(input);
    const Page page(page_of(evidence));
    const std::vector<std::string> white = page.row("Tristimulus", "white, as fitted");
    REQUIRE(white.size() == 5);
    CHECK(white[1] == fmt::format("{:.6g} \u00b1 {:.2g}", fit.white.y, fit.uncertainty.white_xyz[1]));
    for (const ScreenTest& test : fit.tests) {
        CAPTURE(test.name);
        const std::vector<std::string> row = page.row("Tests", test.name);
        REQUIRE(row.size() == 4);
        CHECK(row[0] == fmt::format("{:.3g} {}", test.value.value(), test.unit));
        CHECK(row[3] == test.words);
    }
    const Verification verified = verify(fit.calibration, input.readings, input.readings_file);
    const std::vector<std::string> errors = page.row("Verification with", "CIEDE2000");
    REQUIRE(errors.size() == 5);
    CHECK(errors[0] == fmt::format("{:.3g}", verified.de2000.mean));
    CHECK(errors[3] == fmt::format("{:.3g}", verified.de2000.max));
}

TEST_CASE("The evidence behind the figures agrees with the fit's own tests") {
    const CalibrationEvidence evidence = gather_evidence(input_of(full_readings()));
    const auto test = [&](const char* name) {
        return *std::find_if(evidence.fit.tests.begin(), evidence.fit.tests.end(),
                             [&](const ScreenTest& one) { return one.name == name; });
    };
    const auto [low, high] =
        std::minmax_element(evidence.whites.percent.begin(), evidence.whites.percent.end());
    // The test weighs wavelengths by white's own light, the figure shows luminance.
    constexpr double kOtherWeights = 0.1;
    CHECK(*high - *low == Approx(test("drift").value.value()).margin(kOtherWeights));
    CHECK(evidence.whites.timed);
    CHECK(evidence.drift_taken_out);
    double largest = 0.0;
    for (const AdditivityError& error : evidence.additivity)
        largest = std::max(largest, 100.0 * error.cones.cwiseAbs().maxCoeff());
    CHECK(largest == Approx(test("additivity").value.value()).epsilon(test::kFiveDigits));
    REQUIRE(evidence.places.size() == 3);
    CHECK(evidence.places[0].percent == 0.0);
    CHECK(std::abs(evidence.places[1].percent) == Approx(test("uniformity").value.value()).epsilon(1e-6));
    CHECK(evidence.sizes.size() == 3);
    for (const ToneFigureCurve& curve : evidence.tones) {
        for (std::size_t i = 0; i < curve.residual.size(); ++i) {
            constexpr double kBelowAStep = 0.5;  // in L*, of a tone response that the panel follows exactly
            CHECK(std::abs(curve.residual[i]) < kBelowAStep);
        }
        CHECK(curve.read_drive.back() == 1.0);
    }
}

TEST_CASE("What the readings do not hold is left out of a report and named") {
    const CalibrationEvidence evidence = gather_evidence(input_of(bare_readings()));
    const Page page(page_of(evidence));
    CHECK(page.document.select_nodes("//figure").size() == 4);
    const std::vector<std::string> items = page.all("//section[h2 = 'Figures']//li");
    REQUIRE(items.size() == 5);
    CHECK(items[0] == "Additivity: not tested: neither white nor any mixture of primaries was read.");
    CHECK(items[1] == "Verification: no readings that the fit has not seen were given.");
    CHECK(items[2] == "Drift: not tested: white was not read twice at the usual patch.");
    CHECK(any_contains(page.all("//section[h2 = 'Summary']//li"), "The calibration was not verified"));
    CHECK(any_contains(page.all("//section[h2 = 'Summary']//li"), "It does not tell uniformity"));
    CHECK(any_contains(page.all("//section[h2 = 'Summary']/p"), "A screen whose name nobody told"));
    CHECK(any_contains(page.all("//section[h2 = 'Provenance']/p"), "No calibration file was given"));
}

TEST_CASE("Names are text to a report, whatever they hold") {
    CalibrationReportInput input = input_of(bare_readings());
    const std::string nasty = "</title><script>alert(\"1\")</script> & 'it' \x01 \xff ]]> <!--";
    input.options.details.name = nasty;
    input.options.details.panel = "<b>&amp;</b>";
    const std::string text = page_of(gather_evidence(input));
    const Page page(text);
    CHECK(page.all("//h1").front() ==
          "Calibration of </title><script>alert(\"1\")</script> & 'it'   \uFFFD ]]> <!--");
    CHECK(text.find("<script") == std::string::npos);
    CHECK(text.find("<b>") == std::string::npos);
    CHECK(any_contains(page.all("//p"), "(<b>&amp;</b>)"));
}

TEST_CASE("A given calibration is held against the readings it is said to come from") {
    CalibrationReportInput input = input_of(bare_readings());
    ScreenFitOptions options = input.options;
    options.details.name = "left screen";
    options.details.measured_on = Day{2026, 11, 20};
    input.calibration = parse_calibration(
        calibration_text(fit_screen(input.readings, "readings.csv", options).calibration), "left.yaml");
    const CalibrationEvidence same = gather_evidence(input);
    CHECK(same.departure_from_fit.value() <= kSameCalibration);
    const Page page(page_of(same));
    CHECK(any_contains(page.all("//p"), "The screen \u201cleft screen\u201d was measured on 2026-11-20"));
    CHECK(any_contains(page.all("//p"), "The calibration file is the fit of these readings"));
    CHECK(page.document.select_nodes("//section[@class = 'warnings']").empty());

    input.calibration->primaries[1].spectrum = input.calibration->primaries[1].spectrum.scaled(1.01);
    const CalibrationEvidence other = gather_evidence(input);
    CHECK(other.departure_from_fit.value() > 1e-3);
    CHECK(any_contains(Page(page_of(other)).all("//section[@class = 'warnings']//li"),
                       "The calibration file does not follow from these readings: it departs"));

    input.calibration->primaries.pop_back();
    CHECK(std::isinf(gather_evidence(input).departure_from_fit.value()));
}

TEST_CASE("A calibration of counts whose white was told is compared at its own scale") {
    CalibrationReportInput input = input_of(bare_readings());
    input.readings.unit = ReadingUnit::counts;
    ScreenFitOptions options = input.options;
    options.white_luminance_cd_m2 = 120.0;
    input.calibration = fit_screen(input.readings, "readings.csv", options).calibration;
    const CalibrationEvidence evidence = gather_evidence(input);
    CHECK(evidence.departure_from_fit.value() <= kSameCalibration);
    CHECK(evidence.fit.white.y == Approx(120.0).epsilon(0.01));
}

TEST_CASE("Warnings stand first: invented data, unknown scale, a verification with fitted readings") {
    CalibrationReportInput input = input_of(full_readings());
    input.readings.unit = ReadingUnit::counts;
    input.options.details.invented = true;
    input.verification = input.readings;
    for (Reading& row : input.verification->rows)
        row.step.clear();
    input.verification_file = "again.csv";
    const std::string text = page_of(gather_evidence(input));
    const Page page(text);
    CHECK(page.all("//h2").front() == "Warnings");
    const std::vector<std::string> warnings = page.all("//section[@class = 'warnings']//li");
    CHECK(any_contains(warnings, "Invented: these are not measurements of a real screen"));
    CHECK(any_contains(warnings, "Scale unknown"));
    CHECK(any_contains(warnings, "of the verification are among those that were fitted"));
    CHECK(text.find("read apart from the fit") == std::string::npos);
    CHECK(text.find("cd/m") == std::string::npos);
}

TEST_CASE("The same readings give the same report, byte by byte") {
    const CalibrationReportInput input = input_of(full_readings());
    CHECK(page_of(gather_evidence(input)) == page_of(gather_evidence(input)));
}
