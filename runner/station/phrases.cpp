#include "runner/station/phrases.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>

#include "base/yaml_reader.h"

namespace isoseam {
namespace {

constexpr const char* kFolderVariable = "ISOSEAM_PHRASES";

const std::vector<std::string> kIds{"name",
                                    "go_on_foot",
                                    "close_foot",
                                    "read_on_foot",
                                    "paused_heading",
                                    "paused_text",
                                    "paused_foot",
                                    "call_heading",
                                    "cannot_save_text",
                                    "cannot_save_warning",
                                    "cannot_save_foot",
                                    "wait_heading",
                                    "disturbed_text",
                                    "experimenter_paused_text",
                                    "saved_text",
                                    "exclusion_heading",
                                    "exclusion_text",
                                    "exclusion_flicker_text",
                                    "exclusion_foot",
                                    "consent_foot",
                                    "rest_heading",
                                    "rest_text",
                                    "rest_foot",
                                    "short_break_heading",
                                    "short_break_text",
                                    "short_break_foot",
                                    "finished_heading",
                                    "finished_text",
                                    "question_foot",
                                    "choice_foot",
                                    "number_foot",
                                    "number_range",
                                    "yes",
                                    "no",
                                    "same",
                                    "different",
                                    "right",
                                    "wrong",
                                    "practice_heading",
                                    "practice_text",
                                    "practice_over_heading",
                                    "practice_over_text",
                                    "practice_failed_text",
                                    "time_up_heading",
                                    "time_up_text",
                                    "keys_heading",
                                    "key_space",
                                    "key_return",
                                    "key_escape",
                                    "key_backspace",
                                    "key_page_up",
                                    "key_page_down",
                                    "key_shift",
                                    "hint_go_on",
                                    "hint_pause",
                                    "hint_axis_1",
                                    "hint_axis_2",
                                    "hint_axis_3",
                                    "hint_coarse",
                                    "hint_accept",
                                    "hint_rating",
                                    "hint_move",
                                    "hint_choose",
                                    "hint_take_back",
                                    "hint_accept_number",
                                    "place_left",
                                    "place_right",
                                    "place_upper",
                                    "place_lower",
                                    "place_upper_left",
                                    "place_upper_right",
                                    "place_lower_left",
                                    "place_lower_right",
                                    "place_first",
                                    "place_second",
                                    "place_number",
                                    "lecture_join_text",
                                    "lecture_code_text",
                                    "lecture_answers",
                                    "lecture_count_axis",
                                    "lecture_end_heading",
                                    "lecture_end_foot",
                                    "class_report_lead",
                                    "class_report_cautions",
                                    "class_report_no_measurement",
                                    "class_report_no_diagnosis",
                                    "class_report_choice",
                                    "class_report_right",
                                    "class_report_slider",
                                    "class_report_quarter",
                                    "class_report_median",
                                    "class_report_three_quarters",
                                    "class_report_found",
                                    "page_contents",
                                    "page_skip",
                                    "page_table",
                                    "page_figure",
                                    "page_page",
                                    "phone_title",
                                    "phone_language",
                                    "phone_join_heading",
                                    "phone_code",
                                    "phone_code_hint",
                                    "phone_code_missing",
                                    "phone_join",
                                    "phone_no_name",
                                    "phone_no_test",
                                    "phone_wrong_code",
                                    "phone_room_full",
                                    "phone_busy",
                                    "phone_door_closed",
                                    "phone_gone_heading",
                                    "phone_gone_text",
                                    "phone_wait_text",
                                    "phone_field_heading",
                                    "phone_reveal_heading",
                                    "phone_end_text",
                                    "phone_steer_heading",
                                    "phone_steer_text",
                                    "phone_own_choice",
                                    "phone_slider_value",
                                    "phone_less",
                                    "phone_more",
                                    "phone_as_it_stands",
                                    "phone_not_answered",
                                    "phone_closed",
                                    "phone_sending",
                                    "phone_sent",
                                    "phone_sent_closed",
                                    "phone_kept",
                                    "phone_late",
                                    "phone_refused",
                                    "phone_lost"};

// How many blanks the program fills in, by the phrase's id. All other phrases have none.
const std::map<std::string, int> kFilledIn{
    {"number_range", 2},    {"place_number", 1},      {"lecture_join_text", 1},  {"lecture_code_text", 1},
    {"lecture_answers", 1}, {"class_report_lead", 2}, {"class_report_found", 3}, {"phone_slider_value", 1}};

std::filesystem::path folder() {
    const char* named = std::getenv(kFolderVariable);
    return named != nullptr && *named != '\0' ? named : ISOSEAM_PHRASES_FOLDER;
}

// Returns how many {} a text has, or -1 where it has another brace, which nothing would fill in.
int filled_in(const std::string& text) {
    int count = 0;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == '{' && i + 1 < text.size() && text[i + 1] == '}') {
            ++count;
            ++i;
        } else if (text[i] == '{' || text[i] == '}') {
            return -1;
        }
    }
    return count;
}

void read_text(const YamlNode& root, const std::string& id, std::map<std::string, std::string>& texts) {
    const YamlNode node = root.at(id, "what to say to a participant");
    const std::optional<std::string> text = node.text();
    if (!text)
        return;
    const auto known = kFilledIn.find(id);
    const int wanted = known == kFilledIn.end() ? 0 : known->second;
    if (text->find_first_not_of(' ') == std::string::npos) {
        node.fault("there is nothing to say", "write what to say to a participant");
    } else if (filled_in(*text) != wanted) {
        node.fault(fmt::format("'{}' has not {} times {{}}", *text, wanted),
                   wanted == 0 ? "leave braces out" : "write {} where the program fills something in");
    }
    texts[id] = *text;
}

}  // namespace

Phrases Phrases::read(const std::string& language) {
    const std::vector<std::string> languages = phrase_languages();
    if (std::find(languages.begin(), languages.end(), language) == languages.end()) {
        throw InputError(Fault{"", 0, 0, "language",
                               fmt::format("there are no phrases in the language '{}'", language),
                               fmt::format("write one of: {}", fmt::join(languages, ", "))});
    }
    const std::string file = (folder() / (language + ".yaml")).string();
    FaultList faults(file);
    const YamlNode root = parse_yaml(read_text_file(file), faults);
    Phrases phrases;
    phrases.language_ = language;
    root.only_keys(kIds);
    for (const std::string& id : kIds)
        read_text(root, id, phrases.texts_);
    faults.throw_if_any();
    return phrases;
}

const std::string& Phrases::operator()(const std::string& id) const {
    const auto found = texts_.find(id);
    ISOSEAM_CHECK(found != texts_.end(), fmt::format("id = {}", id));
    return found->second;
}

const std::vector<std::string>& Phrases::ids() {
    return kIds;
}

std::vector<std::string> phrase_languages() {
    std::error_code failure;
    const std::filesystem::directory_iterator files(folder(), failure);
    if (failure) {
        throw MachineError(fmt::format("the folder of phrases, {}, cannot be read: {}", folder().string(),
                                       failure.message()),
                           fmt::format("set {} to the folder runner/phrases of Isoseam", kFolderVariable));
    }
    std::vector<std::string> languages;
    for (const std::filesystem::directory_entry& file : files) {
        if (file.path().extension() == ".yaml")
            languages.push_back(file.path().stem().string());
    }
    std::sort(languages.begin(), languages.end());
    return languages;
}

}  // namespace isoseam
