#include "results_schema/written_line.h"

#include <fast_float/fast_float.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <limits>
#include <string>
#include <vector>

namespace isoseam {
namespace {

// The limits of schema/settings.schema.json.
constexpr std::int64_t kMostEvents = 9007199254740991;
constexpr std::int64_t kMostTrials = 1000000;
constexpr std::int64_t kMostOfACount = 1000000000;
constexpr std::int64_t kLargestCode = 65535;
constexpr std::int64_t kMostBits = 16;
constexpr std::size_t kMostAxes = 16;
constexpr std::size_t kMostDirections = 3;
constexpr std::int64_t kMostTracks = 1000;
constexpr std::int64_t kMostPlaces = 16;
constexpr std::size_t kFewestPrimaries = 3;
constexpr std::size_t kMostPrimaries = 16;
constexpr std::size_t kUsualCount = 3;  // of primaries, and more than of axes
constexpr double kNoLimit = std::numeric_limits<double>::infinity();
constexpr std::array<std::string_view, 8> kHalves{"left",   "right", "upper", "lower",
                                                  "others", "odd",   "first", "second"};
constexpr std::array<std::string_view, 4> kForms{"yes_no", "place", "same_different", "rating"};
constexpr std::array<std::string_view, 3> kSpaces{"cone_contrast", "macleod_boynton", "primaries"};

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

constexpr std::size_t kBytes = 256;

// By byte: printable ASCII that stands for itself in a text.
constexpr std::array<bool, kBytes> plain_bytes() {
    std::array<bool, kBytes> plain{};
    for (unsigned char c = ' '; c <= '~'; ++c) {
        plain[c] = c != '"' && c != '\\';
    }
    return plain;
}
constexpr std::array<bool, kBytes> kPlain = plain_bytes();

// Goes through the text; each step says whether it found what it was to find.
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

    // Printable ASCII without escapes, at least one letter.
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

    template <std::size_t Count>
    bool word_of(std::string& value, const std::array<std::string_view, Count>& words) {
        return word(value) && std::find(words.begin(), words.end(), value) != words.end();
    }

    bool number(double& value, double least = -kNoLimit, double most = kNoLimit) {
        const auto [end, error] = fast_float::from_chars(rest_.data(), rest_.data() + rest_.size(), value);
        const std::string_view text = taken(end);
        // The library reads "-0" as the whole number 0. What is too large for a double comes as infinity.
        return error == std::errc() && std::isfinite(value) && is_json_number(text) && text != "-0" &&
               value >= least && value <= most;
    }

    template <class Whole>
    bool whole(Whole& value, std::int64_t least, std::int64_t most) {
        // Without a sign and without zeros before it: -0 and 007 are for the library.
        std::size_t digits = 0;
        std::int64_t read = 0;
        while (digits < rest_.size() && is_digit(rest_[digits]) && read <= most) {
            read = 10 * read + (rest_[digits] - '0');
            ++digits;
        }
        if (digits == 0 || (digits > 1 && rest_[0] == '0') || read < least || read > most) {
            return false;
        }
        rest_.remove_prefix(digits);
        value = static_cast<Whole>(read);
        return true;
    }

    bool truth(bool& value) {
        value = literal("true");
        return value || literal("false");
    }

    // `item` reads one value into its argument.
    template <class List, class Item>
    bool list(List& values, std::size_t fewest, std::size_t most, Item item) {
        if (!literal("[")) {
            return false;
        }
        values.reserve(kUsualCount);
        do {
            if (values.size() == most || !item(values.emplace_back())) {
                return false;
            }
        } while (literal(","));
        return literal("]") && values.size() >= fewest;
    }

    template <class List>
    bool numbers(List& values, std::size_t fewest, std::size_t most, double least = -kNoLimit) {
        return list(values, fewest, most, [&](double& value) { return number(value, least); });
    }

    bool lms(std::array<double, 3>& values) {
        return literal("[") && number(values[0]) && literal(",") && number(values[1]) && literal(",") &&
               number(values[2]) && literal("]");
    }

  private:
    std::string_view taken(const char* end) {
        const std::string_view text = rest_.substr(0, static_cast<std::size_t>(end - rest_.data()));
        rest_.remove_prefix(text.size());
        return text;
    }

    // Of what from_chars takes: RFC 8259 forbids some of it, "inf", "007", ".5", "5." and "5.e3".
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

bool read_half(Scanner& in, HalfRecord& half) {
    return in.literal(R"({"bits":)") && in.whole(half.bits, 1, kMostBits) && in.literal(R"(,"code":)") &&
           in.list(half.code, kFewestPrimaries, kMostPrimaries,
                   [&](int& code) { return in.whole(code, 0, kLargestCode); }) &&
           in.literal(R"(,"half":)") && in.word_of(half.half, kHalves) && in.literal(R"(,"linear":)") &&
           in.numbers(half.linear, kFewestPrimaries, kMostPrimaries) && in.literal(R"(,"lms":)") &&
           in.lms(half.lms) && in.literal(R"(,"source":)") && in.word(half.source) && in.literal("}");
}

// With the comma before and the name, where there are frames.
bool read_frames(Scanner& in, std::optional<FramesRecord>& frames) {
    if (!in.literal(R"(,"frames":)")) {
        return true;
    }
    FramesRecord& read = frames.emplace();
    return in.literal(R"({"dropped":)") && in.whole(read.dropped, 0, kMostOfACount) &&
           in.literal(R"(,"late":)") && in.whole(read.late, 0, kMostOfACount) && in.literal(R"(,"shown":)") &&
           in.whole(read.shown, 0, kMostOfACount) && in.literal("}");
}

bool read_setting(Scanner& in, SettingRecord& setting) {
    const auto per_axis = [&](Few<double>& values, double least = -kNoLimit) {
        return in.numbers(values, 1, kMostAxes, least);
    };
    const auto name = [&](std::string& value) { return in.word(value); };
    const auto count = [&](int& value) { return in.whole(value, 0, kMostOfACount); };
    return in.literal(R"({"adjusted":)") && read_half(in, setting.adjusted) &&                           //
           in.literal(R"(,"adjusted_half":)") && in.word_of(setting.adjusted_half, kHalves) &&           //
           in.literal(R"(,"axes":)") && in.list(setting.axes, 1, kMostAxes, name) &&                     //
           in.literal(R"(,"condition":)") && in.word(setting.condition) &&                               //
           in.literal(R"(,"contrast_from_predicted":)") && in.lms(setting.contrast_from_predicted) &&    //
           in.literal(R"(,"duration_s":)") && in.number(setting.duration_s, 0.0) &&                      //
           read_frames(in, setting.frames) &&                                                            //
           in.literal(R"(,"ignored_presses":)") && count(setting.ignored_presses) &&                     //
           in.literal(R"(,"path_length":)") && per_axis(setting.path_length, 0.0) &&                     //
           in.literal(R"(,"predicted_lms":)") && in.lms(setting.predicted_lms) &&                        //
           in.literal(R"(,"reference":)") && read_half(in, setting.reference) &&                         //
           in.literal(R"(,"reference_half":)") && in.word_of(setting.reference_half, kHalves) &&         //
           in.literal(R"(,"refused_steps":)") && in.list(setting.refused_steps, 1, kMostAxes, count) &&  //
           in.literal(R"(,"repeat":)") && in.whole(setting.repeat, 1, kMostTrials) &&                    //
           in.literal(R"(,"setting":)") && per_axis(setting.setting) &&                                  //
           in.literal(R"(,"space":)") && in.word_of(setting.space, kSpaces) &&                           //
           in.literal(R"(,"start":)") && per_axis(setting.start) &&                                      //
           in.literal(R"(,"start_adjusted":)") && read_half(in, setting.start_adjusted) &&               //
           in.literal(R"(,"start_shrunk_to":)") && in.number(setting.start_shrunk_to, 0.0, 1.0) &&       //
           in.literal(R"(,"steps":)") && count(setting.steps) &&                                         //
           in.literal(R"(,"target_lms":)") && in.lms(setting.target_lms) &&                              //
           in.literal(R"(,"trial":)") && in.whole(setting.trial, 1, kMostTrials) && in.literal("}");
}

bool read_right(Scanner& in, std::optional<bool>& right) {
    return !in.literal(R"(,"right":)") || in.truth(right.emplace());
}

bool read_target_place(Scanner& in, std::optional<std::string>& place) {
    return !in.literal(R"(,"target_place":)") || in.word(place.emplace());
}

bool read_answer(Scanner& in, AnswerRecord& answer) {
    const auto name = [&](std::string& value) { return in.word(value); };
    return in.literal(R"({"answer":)") && in.word(answer.answer) &&                                       //
           in.literal(R"(,"answer_value":)") && in.whole(answer.answer_value, 0, kMostPlaces) &&          //
           in.literal(R"(,"axes":)") && in.list(answer.axes, 1, kMostDirections, name) &&                 //
           in.literal(R"(,"catch_trial":)") && in.truth(answer.catch_trial) &&                            //
           in.literal(R"(,"condition":)") && in.word(answer.condition) &&                                 //
           in.literal(R"(,"duration_s":)") && in.number(answer.duration_s, 0.0) &&                        //
           in.literal(R"(,"form":)") && in.word_of(answer.form, kForms) &&                                //
           read_frames(in, answer.frames) &&                                                              //
           in.literal(R"(,"ignored_presses":)") && in.whole(answer.ignored_presses, 0, kMostOfACount) &&  //
           in.literal(R"(,"level":)") && in.numbers(answer.level, 1, kMostDirections) &&                  //
           in.literal(R"(,"places":)") && in.whole(answer.places, 1, kMostPlaces) &&                      //
           in.literal(R"(,"practice":)") && in.truth(answer.practice) &&                                  //
           in.literal(R"(,"reference":)") && read_half(in, answer.reference) &&                           //
           in.literal(R"(,"repeat":)") && in.whole(answer.repeat, 1, kMostTrials) &&                      //
           read_right(in, answer.right) &&                                                                //
           in.literal(R"(,"run":)") && in.whole(answer.run, 1, kMostTrials) &&                            //
           in.literal(R"(,"shown":)") && read_half(in, answer.shown) &&                                   //
           in.literal(R"(,"space":)") && in.word_of(answer.space, kSpaces) &&                             //
           in.literal(R"(,"target":)") && in.truth(answer.target) &&                                      //
           read_target_place(in, answer.target_place) &&                                                  //
           in.literal(R"(,"track":)") && in.whole(answer.track, 0, kMostTracks) &&                        //
           in.literal(R"(,"trial":)") && in.whole(answer.trial, 1, kMostTrials) && in.literal("}");
}

bool read_trial_started(Scanner& in) {
    std::string word;
    int count = 0;
    std::vector<double> start;
    return in.literal(R"({"condition":)") && in.word(word) &&
           (!in.literal(R"(,"odd_quadrant":)") || in.word(word)) && in.literal(R"(,"repeat":)") &&
           in.whole(count, 1, kMostTrials) && in.literal(R"(,"start":)") &&
           in.numbers(start, 1, std::numeric_limits<std::size_t>::max()) && in.literal(R"(,"trial":)") &&
           in.whole(count, 1, kMostTrials) && in.literal("}");
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
        return read_setting(in, line.event.emplace<SettingRecord>());
    }
    if (in.literal(R"("answer","data":)")) {
        return read_answer(in, line.event.emplace<AnswerRecord>());
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
