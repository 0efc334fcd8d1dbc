// A setting as text: what to_json(setting).dump() says, an order of magnitude sooner, since no tree is built.
// Rehearsals write hundreds of thousands of them.
#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "base/errors.h"
#include "results_schema/records.h"

namespace isoseam {
namespace {

constexpr std::size_t kLongestNumber = 32;

void add(std::string& text, double number) {
    ISOSEAM_CHECK(std::isfinite(number), "a setting holds a number that is not finite");
    std::array<char, kLongestNumber> digits{};
    const auto written = std::to_chars(digits.data(), digits.data() + digits.size(), number);
    const std::string_view shortest(digits.data(), static_cast<std::size_t>(written.ptr - digits.data()));
    text += shortest;
    // So that it reads back as a number with a fraction.
    if (shortest.find_first_of(".e") == std::string_view::npos)
        text += ".0";
}

void add(std::string& text, std::int64_t number) {
    std::array<char, kLongestNumber> digits{};
    const auto written = std::to_chars(digits.data(), digits.data() + digits.size(), number);
    text.append(digits.data(), written.ptr);
}

void add(std::string& text, int number) {
    add(text, std::int64_t{number});
}

void add(std::string& text, const std::string& words) {
    const auto is_plain = [](char c) { return c >= ' ' && c <= '~' && c != '"' && c != '\\'; };
    if (std::all_of(words.begin(), words.end(), is_plain))
        text.append("\"").append(words).append("\"");
    else
        text += nlohmann::json(words).dump();
}

template <class List>
void add_list(std::string& text, const List& list) {
    text += '[';
    for (std::size_t i = 0; i < list.size(); ++i) {
        text += i == 0 ? "" : ",";
        add(text, list[i]);
    }
    text += ']';
}
template <class Item>
void add(std::string& text, const std::vector<Item>& list) {
    add_list(text, list);
}
template <class Item>
void add(std::string& text, const Few<Item>& list) {
    add_list(text, list);
}
void add(std::string& text, const std::array<double, 3>& list) {
    add_list(text, list);
}

void add(std::string& text, const HalfRecord& half);
void add(std::string& text, const FramesRecord& frames);

// One member of an object after the other; the names in the order of the alphabet.
class Members {
  public:
    explicit Members(std::string& text) : text_(text) { text_ += '{'; }
    template <class Value>
    void operator()(const char* name, const Value& value) {
        text_.append(first_ ? "\"" : ",\"").append(name).append("\":");
        first_ = false;
        add(text_, value);
    }
    void end() { text_ += '}'; }

  private:
    std::string& text_;
    bool first_ = true;
};

void add(std::string& text, const HalfRecord& half) {
    Members members(text);
    members("bits", half.bits);
    members("code", half.code);
    members("half", half.half);
    members("linear", half.linear);
    members("lms", half.lms);
    members("source", half.source);
    members.end();
}

void add(std::string& text, const FramesRecord& frames) {
    Members members(text);
    members("dropped", frames.dropped);
    members("late", frames.late);
    members("shown", frames.shown);
    members.end();
}

}  // namespace

std::string json_text(const SettingRecord& setting) {
    constexpr std::size_t kUsualLength = 2000;
    std::string text;
    text.reserve(kUsualLength);
    Members members(text);
    members("adjusted", setting.adjusted);
    members("adjusted_half", setting.adjusted_half);
    members("axes", setting.axes);
    members("condition", setting.condition);
    members("contrast_from_predicted", setting.contrast_from_predicted);
    members("duration_s", setting.duration_s);
    if (setting.frames)
        members("frames", *setting.frames);
    members("ignored_presses", setting.ignored_presses);
    members("path_length", setting.path_length);
    members("predicted_lms", setting.predicted_lms);
    members("reference", setting.reference);
    members("reference_half", setting.reference_half);
    members("refused_steps", setting.refused_steps);
    members("repeat", setting.repeat);
    members("setting", setting.setting);
    members("space", setting.space);
    members("start", setting.start);
    members("start_adjusted", setting.start_adjusted);
    members("start_shrunk_to", setting.start_shrunk_to);
    members("steps", setting.steps);
    members("target_lms", setting.target_lms);
    members("trial", setting.trial);
    members.end();
    return text;
}

}  // namespace isoseam
