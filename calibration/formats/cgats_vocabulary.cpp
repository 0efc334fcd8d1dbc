#include "calibration/formats/cgats_vocabulary.h"

#include <algorithm>

namespace isoseam {

const std::vector<std::string> kCgatsTextKeywords{"ORIGINATOR",
                                                  "DESCRIPTOR",
                                                  "FILE_DESCRIPTOR",
                                                  "CREATED",
                                                  "INSTRUMENTATION",
                                                  "MANUFACTURER",
                                                  "PROD_DATE",
                                                  "SERIAL",
                                                  "MATERIAL",
                                                  "MEASUREMENT_SOURCE",
                                                  "MEASUREMENT_GEOMETRY",
                                                  "FILTER",
                                                  "POLARIZATION",
                                                  "COMPUTATIONAL_PARAMETER"};

const std::vector<std::string> kCgatsOtherKeywords{"KEYWORD",         "NUMBER_OF_FIELDS", "BEGIN_DATA_FORMAT",
                                                   "END_DATA_FORMAT", "NUMBER_OF_SETS",   "BEGIN_DATA",
                                                   "END_DATA"};

const std::vector<std::pair<std::string, CgatsField>> kCgatsFields{
    {"SAMPLE_ID", CgatsField::id},        {"SAMPLE_NAME", CgatsField::name},
    {"RGB_R", CgatsField::red},           {"RGB_G", CgatsField::green},
    {"RGB_B", CgatsField::blue},          {"SPECTRAL_NM", CgatsField::nm},
    {"SPECTRAL_DEC", CgatsField::value},  {"PATCH_X", CgatsField::x},
    {"PATCH_Y", CgatsField::y},           {"PATCH_WIDTH", CgatsField::width},
    {"PATCH_HEIGHT", CgatsField::height}, {"SECONDS", CgatsField::seconds}};

const std::set<std::string> kCgatsDeclaredFields{"PATCH_X", "PATCH_Y", "PATCH_WIDTH", "PATCH_HEIGHT",
                                                 "SECONDS"};

bool is_cgats_keyword(const std::string& word) {
    const auto holds = [&](const std::vector<std::string>& words) {
        return std::find(words.begin(), words.end(), word) != words.end();
    };
    return holds(kCgatsTextKeywords) || holds(kCgatsOtherKeywords);
}

std::string cgats_name(CgatsField field) {
    return std::find_if(kCgatsFields.begin(), kCgatsFields.end(),
                        [&](const auto& known) { return known.second == field; })
        ->first;
}

CgatsWords cgats_words(std::string_view line) {
    constexpr std::string_view kBlanks = " \t\r";
    CgatsWords result;
    for (std::size_t at = line.find_first_not_of(kBlanks); at < line.size() && line[at] != '#';
         at = line.find_first_not_of(kBlanks, at)) {
        const int column = static_cast<int>(at) + 1;
        const bool quoted = line[at] == '"';
        std::size_t end = quoted ? line.find('"', at + 1) : line.find_first_of(" \t\r#\"", at);
        result.open_quote = quoted && end == std::string_view::npos;
        end = std::min(end, line.size());
        const std::size_t begin = quoted ? at + 1 : at;
        result.words.push_back({std::string(line.substr(begin, end - begin)), column});
        at = std::min(quoted ? end + 1 : end, line.size());
    }
    return result;
}

}  // namespace isoseam
