#include "calibration/instruments/file_instrument.h"

#include <catch2/catch.hpp>

#include "support/error_text.h"

using namespace isoseam;
using Catch::Contains;

namespace {

const char* const kTable =
    "# unit: W/(sr m2 nm)\n"
    "r,g,b,nm400,nm500,nm600\n"
    "1,1,1,1,2,3\n"
    "0,0,0,0.1,0.1,0.1\n"
    "0.50196,0,0,0.5,0,0\n"
    "1,1,1,1.1,2.1,3.1\n";

ShownPatch asking(double r, double g, double b, int same_before) {
    ShownPatch shown;
    shown.drive.fractions = Eigen::Vector3d(r, g, b);
    shown.step = "some.step";
    shown.same_before = same_before;
    return shown;
}

std::vector<double> values_of(const ReadingOutcome& outcome) {
    return std::get<InstrumentSpectrum>(outcome).values;
}

}  // namespace

TEST_CASE("rows made elsewhere are found by their drive, in whatever order they are asked for") {
    FileInstrument instrument(parse_readings(kTable, "elsewhere.csv"), "elsewhere.csv");
    CHECK(values_of(instrument.read(asking(128.0 / 255.0, 0, 0, 0))) == std::vector<double>{0.5, 0.0, 0.0});
    CHECK(values_of(instrument.read(asking(1, 1, 1, 1))) == std::vector<double>{1.1, 2.1, 3.1});
    CHECK(values_of(instrument.read(asking(1, 1, 1, 0))) == std::vector<double>{1.0, 2.0, 3.0});
    CHECK(values_of(instrument.read(asking(0, 0, 0, 0))) == std::vector<double>{0.1, 0.1, 0.1});
    CHECK(instrument.rows_of({Eigen::Vector3d::Ones()}, {}) == 2);
    CHECK_FALSE(instrument.tells_places());
    CHECK(instrument.record().unit == ReadingUnit::w_sr_m2_nm);
    CHECK_FALSE(instrument.record().looks_at_screen);
}

TEST_CASE("a row that is missing is named, and the neighbouring code is not taken for it") {
    FileInstrument instrument(parse_readings(kTable, "elsewhere.csv"), "elsewhere.csv");
    const auto third = std::get<ReadingFailure>(instrument.read(asking(1, 1, 1, 2)));
    CHECK(third.trouble == Trouble::missing);
    CHECK(third.found ==
          "elsewhere.csv holds 2 reading(s) of r 1, g 1, b 1, and step some.step asks for one more");
    const auto neighbour = std::get<ReadingFailure>(instrument.read(asking(514.0 / 1023.0, 0, 0, 0)));
    CHECK_THAT(neighbour.found, Contains("holds 0 reading(s) of r 0.5024, g 0, b 0"));
}

TEST_CASE("where a table tells places, a row answers only for its own") {
    const std::string table =
        "r,g,b,x,y,width,height,nm400,nm500\n1,1,1,0.5,0.5,0.3,0.3,1,1\n1,1,1,0.2,0.5,0.3,0.3,0.9,0.9\n";
    FileInstrument instrument(parse_readings(table, "places.csv"), "places.csv");
    CHECK(instrument.tells_places());
    ShownPatch left = asking(1, 1, 1, 0);
    left.place = {0.2, 0.5, 0.3, 0.3};
    CHECK(values_of(instrument.read(left)) == std::vector<double>{0.9, 0.9});
    left.place.x = 0.8;
    CHECK(std::holds_alternative<ReadingFailure>(instrument.read(left)));
}

TEST_CASE("a table without a row is refused") {
    CHECK_THAT(test::input_error_text([] { FileInstrument(Readings{}, "empty.csv"); }),
               Contains("empty.csv: holds no reading"));
}
