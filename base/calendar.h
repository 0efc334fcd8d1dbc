#pragma once
// Days and moments of the calendar, as files and messages write them.
//
//     const Day last = days_later(parse_day("2026-11-20"), 180);    // 2027-05-19
//     utc_text(0.0)                                                 // "1970-01-01T00:00:00Z"

#include <compare>
#include <string>
#include <string_view>

namespace isoseam {

// A day of the proleptic Gregorian calendar.
struct Day {
    int year = 0;
    int month = 0;
    int day = 0;
    // clang-tidy takes the zero in the comparison that the compiler writes for a pointer.
    friend auto operator<=>(const Day&, const Day&) = default;
};
Day parse_day(std::string_view text);  // "2026-11-20"; InputError otherwise
std::string to_string(const Day& day);
Day today();  // by the local calendar
Day days_later(const Day& day, int days);
int days_between(const Day& from, const Day& to);  // negative when `to` comes first

// Seconds since 1970-01-01T00:00:00Z, by the system's clock.
double utc_seconds();
// "2026-11-25T16:03:12Z": the second that holds the moment.
std::string utc_text(double seconds);
// "2026-11-25T16:03:12.042Z": now, to the millisecond.
std::string utc_now();
// The moment that "2026-11-25T16:03:12Z" names; 0 for any other text.
double seconds_of_utc(const std::string& text);

}  // namespace isoseam
