#include "base/calendar.h"

#include <fmt/format.h>

#include <chrono>
#include <ctime>

#include "base/errors.h"

namespace isoseam {
namespace {

std::chrono::year_month_day civil(const Day& day) {
    return {std::chrono::year(day.year), std::chrono::month(static_cast<unsigned>(day.month)),
            std::chrono::day(static_cast<unsigned>(day.day))};
}

Day day_of(const std::chrono::year_month_day& civil) {
    return {static_cast<int>(civil.year()), static_cast<int>(static_cast<unsigned>(civil.month())),
            static_cast<int>(static_cast<unsigned>(civil.day()))};
}

std::tm utc_parts(std::time_t seconds) {
    std::tm utc{};
    gmtime_r(&seconds, &utc);
    return utc;
}

// The text without the final Z.
std::string whole_seconds_text(std::time_t seconds) {
    const std::tm utc = utc_parts(seconds);
    return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}", utc.tm_year + 1900, utc.tm_mon + 1, utc.tm_mday,
                       utc.tm_hour, utc.tm_min, utc.tm_sec);
}

}  // namespace

Day parse_day(std::string_view text) {
    const auto digits = [&](std::size_t from, std::size_t count) {
        int value = 0;
        for (const char letter : text.substr(from, count))
            value = letter >= '0' && letter <= '9' && value >= 0 ? value * 10 + (letter - '0') : -1;
        return value;
    };
    if (text.size() == 10 && text[4] == '-' && text[7] == '-') {
        const Day day{digits(0, 4), digits(5, 2), digits(8, 2)};
        if (day.year > 0 && day.month > 0 && day.day > 0 && civil(day).ok())
            return day;
    }
    throw InputError(fmt::format("'{}' is no day of the calendar", text),
                     "write year, month and day as in 2026-11-20");
}

std::string to_string(const Day& day) {
    return fmt::format("{:04}-{:02}-{:02}", day.year, day.month, day.day);
}

Day today() {
    const std::time_t now = std::time(nullptr);
    std::tm local{};
    localtime_r(&now, &local);
    return {local.tm_year + 1900, local.tm_mon + 1, local.tm_mday};
}

Day days_later(const Day& day, int days) {
    return day_of(std::chrono::sys_days(civil(day)) + std::chrono::days(days));
}

int days_between(const Day& from, const Day& to) {
    return static_cast<int>((std::chrono::sys_days(civil(to)) - std::chrono::sys_days(civil(from))).count());
}

double utc_seconds() {
    return std::chrono::duration<double>(std::chrono::system_clock::now().time_since_epoch()).count();
}

std::string utc_text(double seconds) {
    return whole_seconds_text(static_cast<std::time_t>(seconds)) + "Z";
}

std::string utc_now() {
    const auto now = std::chrono::system_clock::now();
    const auto milliseconds =
        std::chrono::duration_cast<std::chrono::milliseconds>(now.time_since_epoch()).count() % 1000;
    return fmt::format("{}.{:03}Z", whole_seconds_text(std::chrono::system_clock::to_time_t(now)),
                       milliseconds);
}

double seconds_of_utc(const std::string& text) {
    std::tm parts{};
    const char* end = strptime(text.c_str(), "%Y-%m-%dT%H:%M:%SZ", &parts);
    return end == nullptr ? 0.0 : static_cast<double>(timegm(&parts));
}

}  // namespace isoseam
