#include "base/calendar.h"

#include <catch2/catch.hpp>

#include "base/errors.h"
#include "support/error_text.h"

using namespace isoseam;
using isoseam::test::input_error_text;

namespace {

// Fliegel & Van Flandern 1968, "A machine algorithm for processing calendar dates", Communications of the
// ACM 11, 657: the Julian day number of a day of the Gregorian calendar. Divisions drop the remainder, as
// there.
int julian_day(int year, int month, int day) {
    const int before_march = (month - 14) / 12;
    return day - 32075 + 1461 * (year + 4800 + before_march) / 4 +
           367 * (month - 2 - before_march * 12) / 12 - 3 * ((year + 4900 + before_march) / 100) / 4;
}

}  // namespace

// 2451545 is the day number of 2000-01-01, the epoch J2000.0 of astronomical tables.
TEST_CASE("days are counted as the published rule counts them, across leap years and centuries") {
    REQUIRE(julian_day(2000, 1, 1) == 2451545);
    const Day epoch{2000, 1, 1};
    for (int days = -146'100; days <= 146'100; days += 7) {  // four centuries each way
        const Day day = days_later(epoch, days);
        REQUIRE(julian_day(day.year, day.month, day.day) == 2451545 + days);
        REQUIRE(days_between(epoch, day) == days);
        REQUIRE(days_between(day, epoch) == -days);
        REQUIRE(parse_day(to_string(day)) == day);
    }
}

// The Gregorian rule (bull Inter gravissimas, 1582): a century is a leap year only when 400 divides it.
TEST_CASE("29 February is a day of leap years only") {
    for (const char* leap : {"2000-02-29", "2024-02-29", "1600-02-29"})
        CHECK(to_string(parse_day(leap)) == leap);
    for (const char* common : {"1900-02-29", "2100-02-29", "2023-02-29"})
        CHECK_THROWS_AS(parse_day(common), InputError);
    CHECK(to_string(days_later(parse_day("2024-02-28"), 1)) == "2024-02-29");
    CHECK(to_string(days_later(parse_day("2100-02-28"), 1)) == "2100-03-01");
    CHECK(days_between(parse_day("1999-12-31"), parse_day("2000-12-31")) == 366);
}

TEST_CASE("a text that is no day of the calendar is refused, and the fault quotes it") {
    for (const char* wrong : {"", "2026-11-31", "2026-13-01", "2026-00-10", "2026-01-00", "0000-01-01",
                              "2026-1-01", "2026-01-1", "26-01-01", "2026/01/01", "20 6-01-01", "-026-01-01",
                              "2026-01-01 ", "2026-01-01T00:00:00Z", "2026-0a-01", "12026-01-01"}) {
        INFO(wrong);
        CHECK_THROWS_AS(parse_day(wrong), InputError);
    }
    CHECK(input_error_text([] { parse_day("2026-11-31"); }) ==
          "'2026-11-31' is no day of the calendar; write year, month and day as in 2026-11-20");
}

// Seconds of 1970-01-01 and of what is known of them: POSIX.1-2017, "Seconds Since the Epoch"; the second
// 10^9 was 2001-09-09T01:46:40Z, and 2^31 - 1, the last in 32 bits, will be 2038-01-19T03:14:07Z.
TEST_CASE("moments are written in UTC, and read back") {
    const std::pair<double, const char*> known[] = {{0.0, "1970-01-01T00:00:00Z"},
                                                    {1e9, "2001-09-09T01:46:40Z"},
                                                    {951'782'400.0, "2000-02-29T00:00:00Z"},
                                                    {2'147'483'647.0, "2038-01-19T03:14:07Z"}};
    for (const auto& [seconds, text] : known) {
        CHECK(utc_text(seconds) == text);
        CHECK(seconds_of_utc(text) == seconds);
    }
    CHECK(utc_text(1e9 + 0.999) == "2001-09-09T01:46:40Z");
    for (const char* wrong : {"", "yesterday", "2001-09-09", "2001-09-09 01:46:40Z"})
        CHECK(seconds_of_utc(wrong) == 0.0);
}

TEST_CASE("now is written to the millisecond, and lies between two looks at the clock") {
    const double before = utc_seconds();
    const std::string now = utc_now();
    const double after = utc_seconds();
    REQUIRE(now.size() == std::string("2026-11-25T16:03:12.042Z").size());
    const double whole = seconds_of_utc(now.substr(0, 19) + "Z");
    const double told = whole + std::stod(now.substr(19, 4));
    CHECK(told > before - 0.001 - 1e-6);  // what is below a millisecond is cut off
    CHECK(told <= after + 1e-6);
    CHECK(utc_text(1e9).size() == 20);
}
