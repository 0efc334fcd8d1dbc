#include "calibration/readings.h"

#include <catch2/catch.hpp>

#include "base/random.h"
#include "support/error_text.h"

using namespace isoseam;
using test::input_error_text;

namespace {

std::string told(const std::string& text) {
    return input_error_text([&] { parse_readings(text, "t.csv"); });
}

void check_same(const Readings& a, const Readings& b) {
    CHECK(a.wavelengths_nm == b.wavelengths_nm);
    CHECK(a.unit == b.unit);
    CHECK(a.primaries == b.primaries);
    REQUIRE(a.rows.size() == b.rows.size());
    for (std::size_t i = 0; i < a.rows.size(); ++i) {
        CHECK(a.rows[i].drive.fractions == b.rows[i].drive.fractions);
        CHECK(a.rows[i].values == b.rows[i].values);
        CHECK(a.rows[i].place.x == b.rows[i].place.x);
        CHECK(a.rows[i].place.y == b.rows[i].place.y);
        CHECK(a.rows[i].place.width == b.rows[i].place.width);
        CHECK(a.rows[i].place.height == b.rows[i].place.height);
        CHECK(a.rows[i].at_s == b.rows[i].at_s);
        CHECK(a.rows[i].step == b.rows[i].step);
    }
}

}  // namespace

TEST_CASE("comments of a table tell of its screen, and go out again with it") {
    const std::string told_of =
        "# screen: left: the one by the window\n# instrument: lamp no. 3\n# measured on: 2026-11-20\n"
        "# warm-up: 1800 s\n# resolution: 1920x1080\n# refresh: 59.94 Hz\n# bits: 10\n"
        "# pixel pitch: 0.27 mm\n# invented: yes\n# estimated: yes\n# unit: counts\n";
    const std::string rows = "r,g,b,nm400,nm410\n1,1,1,5,6\n";
    const Readings readings = parse_readings(told_of + "# of the lab: any remark\n" + rows, "t.csv");
    CHECK(readings.details.name == "left: the one by the window");
    CHECK(readings.details.measured_on == Day{2026, 11, 20});
    CHECK(readings.details.warm_up_s == 1800.0);
    CHECK(readings.details.height_px == 1080);
    CHECK(readings.details.bits == 10);
    CHECK(readings.details.invented);
    CHECK(readings_text(readings) == told_of + rows);
    CHECK_THAT(told("# bits: 9\n# resolution: large\n# estimated: perhaps\n" + rows),
               Catch::Contains("t.csv:1:1: bits: '9' bits; write 8 or 10; or take the colon out") &&
                   Catch::Contains("t.csv:2:1: resolution: 'large' is no resolution") &&
                   Catch::Contains("t.csv:3:1: estimated: 'perhaps' is neither yes nor no"));
}

TEST_CASE("a table of readings is read as it stands") {
    const Readings readings = parse_readings(
        "\xEF\xBB\xBF# our spectroradiometer\n"
        "# unit: W/(sr m2 nm)\r\n"
        "\n"
        "g,r,b,x,width,seconds,step,nm380.5,nm400\r\n"
        "0.5, 0,1,0.25,0.1,12.5,ramp 2,-1e-7,2e-3   # a cloud passed\n",
        "t.csv");
    CHECK(readings.unit == ReadingUnit::w_sr_m2_nm);
    CHECK(readings.primaries == std::vector<std::string>{"r", "g", "b"});
    CHECK(readings.wavelengths_nm == std::vector<double>{380.5, 400.0});
    REQUIRE(readings.rows.size() == 1);
    const Reading& row = readings.rows[0];
    CHECK(row.drive.fractions == Eigen::Vector3d(0.0, 0.5, 1.0));
    CHECK(row.values == std::vector<double>{-1e-7, 2e-3});
    CHECK(row.place.x == 0.25);
    CHECK(row.place.y == 0.5);
    CHECK(row.place.width == 0.1);
    CHECK(row.place.height == 1.0);
    CHECK(row.at_s == 12.5);
    CHECK(row.step == "ramp 2");
    CHECK(row.line == 5);
    CHECK(spectrum_of(readings, row).at_nm(380.5) == -1e-7);
}

TEST_CASE("a table that names no unit holds counts") {
    CHECK(parse_readings("r,g,b,nm400,nm500\n0,0,0,1,2\n", "t.csv").unit == ReadingUnit::counts);
}

TEST_CASE("readings that are written read back to the same values") {
    const RandomStream random{5, 901};
    std::uint64_t draw = 0;
    for (const int primaries : {3, 6, 16}) {
        Readings readings;
        readings.unit = primaries == 6 ? ReadingUnit::counts : ReadingUnit::w_sr_m2_nm;
        readings.wavelengths_nm = {380.1, 390.0, 400.0 + 1.0 / 3.0, 780.0};
        for (int i = 0; i < primaries; ++i)
            readings.primaries.push_back(primaries == 3 ? std::string(1, "rgb"[i])
                                                        : "p" + std::to_string(i + 1));
        for (int row = 0; row < 5; ++row) {
            Reading reading;
            reading.drive.fractions.resize(primaries);
            for (double& fraction : reading.drive.fractions)
                fraction = random.uniform(draw++);
            for (std::size_t i = 0; i < readings.wavelengths_nm.size(); ++i)
                reading.values.push_back(random.normal(draw++) * 1e-5);
            if (primaries == 16) {
                reading.place = {random.uniform(draw++), random.uniform(draw++), 0.1, 0.2};
                reading.at_s = random.uniform(draw++) * 1e3;
                reading.step = "step " + std::to_string(row);
            }
            readings.rows.push_back(reading);
        }
        const std::string text = readings_text(readings);
        const Readings again = parse_readings(text, "t.csv");
        check_same(again, readings);
        CHECK(readings_text(again) == text);
    }
}

TEST_CASE("all faults of a table are told, each at its place") {
    CHECK(
        told("# unit: mW/(sr m2 nm)\nr,g,b,nm400,nm500\n0,0,0,1,x\n0,0,1.5,1,nan\n0,0,0,1\n0,0,0,1,2,3\n") ==
        "t.csv:1:1: unit: unit 'mW/(sr m2 nm)'; convert the values and write 'W/(sr m2 nm)', or 'counts' "
        "where their factor to it is unknown\n"
        "t.csv:3:9: nm500: 'x' is not a finite number; write a number such as 0.5, with a point\n"
        "t.csv:4:5: b: 1.5; write a drive from 0 to 1 (the code divided by the largest code)\n"
        "t.csv:4:11: nm500: 'nan' is not a finite number; write a number such as 0.5, with a point\n"
        "t.csv:5:1: 4 cells under 5 headings; write one cell for each column\n"
        "t.csv:6:1: 6 cells under 5 headings; write one cell for each column");
    CHECK(told("r,g,widht,nm500,nm400,nm400\n") ==
          "t.csv:1:5: unknown column 'widht'; did you mean 'width'? columns are r,g,b or p1,p2,... for the "
          "drives, x, y, width, height, seconds, step, and nm380 and the like\n"
          "t.csv:1:17: 400 nm follows 500 nm; sort the columns by wavelength, each only once\n"
          "t.csv:1:23: 400 nm follows 400 nm; sort the columns by wavelength, each only once\n"
          "t.csv:1:23: a second column 'nm400'; keep one of the two\n"
          "t.csv:1:1: no drive column b; write one column of drives (0 to 1) for each primary");
    CHECK(told("p1,p4,nm400,nm500\n") ==
          "t.csv:1:1: no drive column p2, p3; write one column of drives (0 to 1) for each primary");
    CHECK(told("r,p1,nm400,nm500\n") ==
          "t.csv:1:1: both r, g, b and p1, p2, ... name drives; name all of them by numbers");
    CHECK(told("r,g,b,nm400\n") ==
          "t.csv:1:1: 1 columns of wavelengths; write a column for each wavelength, as in nm380,nm381,...");
    CHECK(told("r,g,b,x,height,seconds,nm400,nm500\n0,0,0,-0.1,0,-5,1,2\n") ==
          "t.csv:2:7: x: -0.1; write a fraction of the screen's width from 0 to 1\n"
          "t.csv:2:12: height: 0; write a fraction of the screen, above 0 and up to 1\n"
          "t.csv:2:14: seconds: -5 s; count the seconds from the first reading");
    CHECK(told("") == "t.csv: no table; begin with a header such as r,g,b,nm380,nm381,...");
    CHECK(told("r,g,b,nm400,nm500\n") == "t.csv: a header without rows; write one row for each reading");
    CHECK(
        told("# unit: counts\n# unit: W/(sr m2 nm)\nr,g,b,nm400,nm500\n0,0,0,1,2\n") ==
        "t.csv:2:1: unit: a second unit, 'W/(sr m2 nm)'; write the readings of each unit to a table of their "
        "own");
}

TEST_CASE("a step's name that would break the table is the caller's fault") {
    Readings readings = parse_readings("r,g,b,nm400,nm500\n0,0,0,1,2\n", "t.csv");
    readings.rows[0].step = "a,b";
    CHECK_THROWS_AS(readings_text(readings), std::logic_error);
}
