#include "results_schema/written_line.h"

#include <fast_float/fast_float.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <concepts>
#include <cstring>
#include <limits>
#include <string>
#include <vector>

namespace isoseam {
namespace {

constexpr std::int64_t kMostEvents = 9007199254740991;
constexpr std::size_t kUsualCount = 3;  // of primaries, and more than of axes
constexpr double kNoLimit = std::numeric_limits<double>::infinity();

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

constexpr std::size_t kBytes = 256;

// Says for each byte whether it is printable ASCII that stands for itself in a text.
constexpr std::array<bool, kBytes> plain_bytes() {
    std::array<bool, kBytes> plain{};
    for (unsigned char c = ' '; c <= '~'; ++c) {
        plain[c] = c != '"' && c != '\\';
    }
    return plain;
}
constexpr std::array<bool, kBytes> kPlain = plain_bytes();

// Goes through the text. Each step says whether it found what it was to find.
class Scanner {
  public:
    explicit Scanner(std::string_view text) : rest_(text) {}

    bool at_end() const { return rest_.empty(); }

    // Inline, so that a text of known length is compared in a few instructions.
    [[gnu::always_inline]] bool literal(std::string_view expected) {
        if (rest_.size() < expected.size() ||
            std::memcmp(rest_.data(), expected.data(), expected.size()) != 0) {
            return false;
        }
        rest_.remove_prefix(expected.size());
        return true;
    }

    // A text of printable ASCII without escapes, at least one letter long.
    bool word(std::string& value) {
        if (!literal("\"")) {
            return false;
        }
        std::size_t length = 0;
        while (length < rest_.size() && kPlain[static_cast<unsigned char>(rest_[length])]) {
            ++length;
        }
        if (length == 0) {
            return false;
        }
        value.assign(rest_.substr(0, length));
        rest_.remove_prefix(length);
        return literal("\"");
    }

    bool number(double& value, double least = -kNoLimit, double most = kNoLimit) {
        const auto [end, error] = fast_float::from_chars(rest_.data(), rest_.data() + rest_.size(), value);
        const std::string_view text = taken(end);
        // The JSON library reads "-0" as the whole number 0. What is too large for a double comes as
        // infinity.
        return error == std::errc() && std::isfinite(value) && is_json_number(text) && text != "-0" &&
               value >= least && value <= most;
    }

    template <class Whole>
    bool whole(Whole& value, std::int64_t least, std::int64_t most) {
        // There is no sign, and there are no zeros before the number: -0 and 007 are for the JSON library.
        std::size_t digits = 0;
        std::int64_t so_far = 0;
        while (digits < rest_.size() && is_digit(rest_[digits]) && so_far <= most) {
            so_far = 10 * so_far + (rest_[digits] - '0');
            ++digits;
        }
        if (digits == 0 || (digits > 1 && rest_[0] == '0') || so_far < least || so_far > most) {
            return false;
        }
        rest_.remove_prefix(digits);
        value = static_cast<Whole>(so_far);
        return true;
    }

    // One value of a record, within the limits of its terms.
    bool read(bool& value, const FieldTerms&) {
        value = literal("true");
        return value || literal("false");
    }
    bool read(double& value, const FieldTerms& terms) { return number(value, terms.least, terms.most); }
    template <std::integral Whole>
    bool read(Whole& value, const FieldTerms& terms) {
        return whole(value, static_cast<std::int64_t>(terms.least), static_cast<std::int64_t>(terms.most));
    }
    bool read(std::string& value, const FieldTerms& terms) {
        return word(value) && (terms.words.empty() ||
                               std::find(terms.words.begin(), terms.words.end(), value) != terms.words.end());
    }
    bool read(std::array<double, 3>& values, const FieldTerms&) {
        return literal("[") && number(values[0]) && literal(",") && number(values[1]) && literal(",") &&
               number(values[2]) && literal("]");
    }
    template <ListOfItems List>
    bool read(List& values, const FieldTerms& terms) {
        if (!literal("[")) {
            return false;
        }
        values.reserve(kUsualCount);
        do {
            if (values.size() == terms.most_items || !read(values.emplace_back(), terms)) {
                return false;
            }
        } while (literal(","));
        return literal("]") && values.size() >= terms.fewest;
    }
    template <Fielded Record>
    bool read(Record& record, const FieldTerms&) {
        const auto read_field = [&](auto field) {
            auto& value = field.of(record);
            if constexpr (field.kOptional) {
                return !literal(field.kKey) || read(value.emplace(), field.kTerms);
            } else {
                return literal(field.kKey) && read(value, field.kTerms);
            }
        };
        return all_in_text_order<Record>(read_field) && literal("}");
    }

  private:
    std::string_view taken(const char* end) {
        const std::string_view text = rest_.substr(0, static_cast<std::size_t>(end - rest_.data()));
        rest_.remove_prefix(text.size());
        return text;
    }

    // Whether RFC 8259 allows a text that from_chars takes. It forbids "inf", "007", ".5", "5." and "5.e3".
    static bool is_json_number(std::string_view text) {
        const std::string_view digits = text.substr(text.starts_with('-') ? 1 : 0);
        std::size_t whole = 0;
        while (whole < digits.size() && is_digit(digits[whole])) {
            ++whole;
        }
        if (whole == 0 || (whole > 1 && digits[0] == '0')) {
            return false;
        }
        const std::string_view rest = digits.substr(whole);
        return !rest.starts_with('.') || (rest.size() > 1 && is_digit(rest[1]));
    }

    std::string_view rest_;
};

bool read_trial_started(Scanner& in) {
    constexpr FieldTerms kAnyList{.most_items = std::numeric_limits<std::size_t>::max()};
    std::string word;
    int count = 0;
    std::vector<double> start;
    return in.literal(R"({"condition":)") && in.word(word) &&
           (!in.literal(R"(,"odd_quadrant":)") || in.word(word)) && in.literal(R"(,"repeat":)") &&
           in.read(count, kNumbered) && in.literal(R"(,"start":)") && in.read(start, kAnyList) &&
           in.literal(R"(,"trial":)") && in.read(count, kNumbered) && in.literal("}");
}

bool read_adaptation_started(Scanner& in) {
    double duration_s = 0.0;
    std::string light;
    return in.literal(R"({"duration_s":)") && in.number(duration_s, 0.0) && in.literal(R"(,"light":)") &&
           in.word(light) && in.literal("}");
}

bool read_adaptation_ended(Scanner& in) {
    double shown_s = 0.0;
    return in.literal(R"({"shown_s":)") && in.number(shown_s, 0.0) && in.literal("}");
}

bool read_event(Scanner& in, WrittenLine& line) {
    if (in.literal(R"("setting","data":)")) {
        return in.read(line.event.emplace<SettingRecord>(), {});
    }
    if (in.literal(R"("answer","data":)")) {
        return in.read(line.event.emplace<AnswerRecord>(), {});
    }
    if (in.literal(R"("trial_started","data":)")) {
        line.event.emplace<PassingEvent>().trial_started = true;
        return read_trial_started(in);
    }
    if (in.literal(R"("adaptation_started","data":)")) {
        return read_adaptation_started(in);
    }
    return in.literal(R"("adaptation_ended","data":)") && read_adaptation_ended(in);
}

}  // namespace

std::optional<WrittenLine> read_written_line(std::string_view body) {
    Scanner in(body);
    std::optional<WrittenLine> line(std::in_place);
    double time_s = 0.0;
    const bool all_read = in.literal(R"({"number":)") && in.whole(line->number, 1, kMostEvents) &&
                          in.literal(R"(,"time_s":)") && in.number(time_s, 0.0) &&
                          in.literal(R"(,"event":)") && read_event(in, *line) && in.at_end();
    if (!all_read) {
        line.reset();
    }
    return line;
}

}  // namespace isoseam
