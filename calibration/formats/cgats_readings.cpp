#include "calibration/formats/cgats_readings.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <iterator>
#include <map>
#include <optional>
#include <set>
#include <utility>
#include <vector>

#include "base/errors.h"
#include "base/quantity.h"
#include "base/text_scan.h"
#include "calibration/formats/cgats_vocabulary.h"
#include "calibration/reading_table.h"

namespace isoseam {
namespace {

using std::size_t;

constexpr const char* kFullDrive = "FULL_DRIVE";
constexpr const char* kSpectralUnit = "SPECTRAL_UNIT";

// Reads one line after the other and remembers what is wrong with each.
class CgatsReader {
  public:
    explicit CgatsReader(std::string file) : file_(std::move(file)) {
        readings_.unit = ReadingUnit::counts;  // unless SPECTRAL_UNIT names another
        readings_.primaries = {"r", "g", "b"};
    }

    void read_line(std::string_view line) {
        ++line_;
        const CgatsWords scanned = cgats_words(line);
        const std::vector<CgatsWord>& words = scanned.words;
        if (scanned.open_quote)
            report(words.back(), "", "a text without its closing quote", "close it in the same line");
        if (words.empty())
            return;
        switch (part_) {
            case Part::identifier:
                read_identifier(words);
                break;
            case Part::keywords:
                read_keyword(words);
                break;
            case Part::format:
                read_format(words);
                break;
            case Part::data:
                read_data(words);
                break;
            case Part::end:
                report(words[0], "", fmt::format("'{}' after END_DATA", words[0].text),
                       "write one table to a file, and nothing after it");
                break;
        }
    }

    Readings finished() {
        const CgatsWord whole{"", 0};
        if (part_ == Part::identifier) {
            report(whole, "", "no text", "begin with CGATS.17");
        } else if (part_ != Part::end) {
            report(whole, "", fmt::format("the file ends without {}", missing_end()),
                   "fetch the whole file again");
        }
        check_count("NUMBER_OF_SETS", sets_);
        if (faults_.empty() && readings_.rows.empty())
            report(whole, "", "a table without sets", "write one set for each reading");
        throw_if_any(faults_);
        return std::move(readings_);
    }

  private:
    enum class Part { identifier, keywords, format, data, end };

    void report(const CgatsWord& word, std::string key, std::string found, std::string remedy) {
        faults_.push_back({file_, line_, word.column, std::move(key), std::move(found), std::move(remedy)});
    }

    std::string missing_end() const {
        if (part_ == Part::format)
            return "END_DATA_FORMAT";
        return part_ == Part::data ? "END_DATA" : "BEGIN_DATA";
    }

    void read_identifier(const std::vector<CgatsWord>& words) {
        part_ = Part::keywords;
        if (words.size() != 1 || std::find(kCgatsIdentifiers.begin(), kCgatsIdentifiers.end(),
                                           words[0].text) == kCgatsIdentifiers.end())
            report(words[0], "", fmt::format("the file begins with '{}'", words[0].text),
                   fmt::format("begin with one of: {}", fmt::join(kCgatsIdentifiers, ", ")));
    }

    void read_keyword(const std::vector<CgatsWord>& words) {
        const std::string& keyword = words[0].text;
        const bool block = keyword == "BEGIN_DATA_FORMAT" || keyword == "BEGIN_DATA";
        const bool known = is_cgats_keyword(keyword);
        if (!known && declared_.count(keyword) == 0) {
            report_unknown_keyword(words[0]);
        } else if (words.size() != (block ? 1U : 2U)) {
            report(
                words[0], keyword, fmt::format("{} values", words.size() - 1),
                block ? "write it alone in its line" : "write one value, in double quotes if it has blanks");
        }
        if (block || words.size() == 2)
            use_keyword(words);
    }

    void use_keyword(const std::vector<CgatsWord>& words) {
        const std::string& keyword = words[0].text;
        if (keyword == "KEYWORD") {
            declared_.insert(words[1].text);
        } else if (keyword == "BEGIN_DATA_FORMAT") {
            part_ = Part::format;
            if (!fields_.empty())
                report(words[0], "", "a second list of fields", "write one table to a file");
        } else if (keyword == "BEGIN_DATA") {
            begin_data(words[0]);
        } else if (keyword == "END_DATA" || keyword == "END_DATA_FORMAT") {
            report(words[0], "", fmt::format("{} without its beginning", keyword), "fetch the file again");
        } else {
            read_value(words[0], words[1]);
        }
    }

    void report_unknown_keyword(const CgatsWord& word) {
        if (word.text == kFullDrive || word.text == kSpectralUnit) {
            report(word, "", fmt::format("{} is not declared", word.text),
                   fmt::format("write KEYWORD \"{}\" before it", word.text));
            return;
        }
        std::vector<std::string> known = kCgatsTextKeywords;
        known.insert(known.end(), kCgatsOtherKeywords.begin(), kCgatsOtherKeywords.end());
        known.insert(known.end(), {kFullDrive, kSpectralUnit});
        report(
            word, "", fmt::format("unknown keyword '{}'", word.text),
            did_you_mean(word.text, known) +
                fmt::format("a keyword that is not the standard's is declared by KEYWORD \"{}\"", word.text));
    }

    void read_value(const CgatsWord& keyword, const CgatsWord& value) {
        const bool counted = keyword.text == "NUMBER_OF_FIELDS" || keyword.text == "NUMBER_OF_SETS";
        if (!counted && keyword.text != kFullDrive && keyword.text != kSpectralUnit)
            return;
        if (!once_.insert(keyword.text).second) {
            report(keyword, "", fmt::format("a second {}", keyword.text), "keep one of the two");
        } else if (keyword.text == kSpectralUnit) {
            if (const std::optional<ReadingUnit> unit = reading_unit(value.text))
                readings_.unit = *unit;
            else
                report(value, kSpectralUnit, fmt::format("unit '{}'", value.text), kUnitRemedy);
        } else if (const std::optional<double> number = finite_number(value.text); number && *number > 0.0) {
            (counted ? counts_[keyword.text] : full_drive_) = *number;
        } else {
            report(value, keyword.text, fmt::format("'{}'", value.text), "write a number above 0");
        }
    }

    void check_count(const std::string& keyword, size_t found) {
        if (part_ == Part::end || keyword == "NUMBER_OF_FIELDS") {
            const auto told = counts_.find(keyword);
            if (told == counts_.end() && once_.count(keyword) == 0)
                report({}, "", fmt::format("no {}", keyword), "the standard wants it told");
            else if (told != counts_.end() && told->second != static_cast<double>(found))
                report({}, keyword, fmt::format("{} told, {} found", told->second, found),
                       "something is missing: fetch the whole file again");
        }
    }

    void read_format(const std::vector<CgatsWord>& words) {
        for (const CgatsWord& word : words) {
            if (word.text == "END_DATA_FORMAT") {
                part_ = Part::keywords;
                check_fields();
                return;
            }
            read_field(word);
        }
    }

    void read_field(const CgatsWord& word) {
        const auto known = std::find_if(kCgatsFields.begin(), kCgatsFields.end(),
                                        [&](const auto& field) { return field.first == word.text; });
        if (known == kCgatsFields.end()) {
            std::vector<std::string> names;
            for (const auto& [name, field] : kCgatsFields)
                names.push_back(name);
            report(word, "", fmt::format("unknown field '{}'", word.text),
                   did_you_mean(word.text, names) + fmt::format("fields are {}", fmt::join(names, ", ")));
            format_damaged_ = true;
            fields_.push_back(CgatsField::id);
            return;
        }
        const CgatsField field = known->second;
        const bool spectral = field == CgatsField::nm || field == CgatsField::value;
        if (!spectral && std::find(fields_.begin(), fields_.end(), field) != fields_.end())
            report(word, "", fmt::format("a second field {}", word.text), "keep one of the two");
        if (kCgatsDeclaredFields.count(word.text) > 0 && declared_.count(word.text) == 0)
            report(word, "", fmt::format("field {} is not declared", word.text),
                   fmt::format("write KEYWORD \"{}\" before it", word.text));
        const bool after_nm = !fields_.empty() && fields_.back() == CgatsField::nm;
        if ((field == CgatsField::value) != after_nm)
            report(word, "",
                   fmt::format("{} after {}", word.text, after_nm ? "SPECTRAL_NM" : "another field"),
                   "write pairs of SPECTRAL_NM and SPECTRAL_DEC");
        fields_.push_back(field);
    }

    void check_fields() {
        const auto count = [&](CgatsField field) {
            return std::count(fields_.begin(), fields_.end(), field);
        };
        for (const auto& [name, field] : kCgatsFields) {
            const bool needed =
                field == CgatsField::red || field == CgatsField::green || field == CgatsField::blue;
            if (needed && count(field) == 0)
                report({}, "", fmt::format("no field {}", name), "a reading needs the drives that made it");
        }
        if (count(CgatsField::value) < 2)
            report({}, "", fmt::format("{} pairs of SPECTRAL_NM and SPECTRAL_DEC", count(CgatsField::value)),
                   "a reading needs its spectrum: two wavelengths at least");
        check_count("NUMBER_OF_FIELDS", fields_.size());
    }

    void begin_data(const CgatsWord& word) {
        part_ = Part::data;
        if (fields_.empty() && !format_damaged_)
            report(word, "", "data before their fields", "write BEGIN_DATA_FORMAT and the fields first");
        if (full_drive_ <= 0.0 && once_.count(kFullDrive) == 0)
            report(word, "", "nothing says which value of RGB_R, RGB_G and RGB_B is full drive",
                   "write two lines above it: KEYWORD \"FULL_DRIVE\" and FULL_DRIVE 255 (or 100, or 1)");
        data_readable_ = faults_.empty();
    }

    void read_data(const std::vector<CgatsWord>& words) {
        if (words[0].text == "END_DATA" && words.size() == 1) {
            part_ = Part::end;
            return;
        }
        ++sets_;
        if (!data_readable_)
            return;
        if (words.size() != fields_.size()) {
            report(words[0], "", fmt::format("{} values for {} fields", words.size(), fields_.size()),
                   "write each set in a line of its own, with one value for each field");
            return;
        }
        Reading reading;
        reading.line = line_;
        reading.drive.fractions.setZero(3);
        std::vector<double> wavelengths_nm;
        for (size_t i = 0; i < words.size(); ++i)
            read_cell(fields_[i], words[i], reading, wavelengths_nm);
        if (readings_.wavelengths_nm.empty())
            readings_.wavelengths_nm = wavelengths_nm;
        else if (readings_.wavelengths_nm != wavelengths_nm)
            report(words[0], "SPECTRAL_NM", "wavelengths that differ from the first set's",
                   "write sets of other wavelengths to a table of their own");
        readings_.rows.push_back(std::move(reading));
    }

    void read_cell(CgatsField field, const CgatsWord& word, Reading& reading,
                   std::vector<double>& wavelengths_nm) {
        if (field == CgatsField::id)
            return;
        if (field == CgatsField::name) {
            if (!is_step(word.text))
                report(word, "SAMPLE_NAME", fmt::format("'{}'", word.text), kStepRemedy);
            reading.step = word.text;
            return;
        }
        const std::optional<double> number = finite_number(word.text);
        if (!number) {
            report(word, cgats_name(field), fmt::format("'{}'", word.text), "write a finite number");
        } else if (field == CgatsField::nm) {
            if (const std::string wrong = wavelength_fault(wavelengths_nm, *number); !wrong.empty())
                report(word, "SPECTRAL_NM", wrong, kWavelengthRemedy);
            wavelengths_nm.push_back(*number);
        } else if (field == CgatsField::value) {
            reading.values.push_back(*number);
        } else if (field == CgatsField::red || field == CgatsField::green || field == CgatsField::blue) {
            const double drive = *number / full_drive_;
            if (!(drive >= 0.0 && drive <= 1.0))
                report(word, cgats_name(field), word.text,
                       fmt::format("drives go from 0 to {}", full_drive_));
            reading.drive.fractions[static_cast<int>(field) - static_cast<int>(CgatsField::red)] = drive;
        } else {
            set_extra(field, word, *number, reading);
        }
    }

    void set_extra(CgatsField field, const CgatsWord& word, double number, Reading& reading) {
        const bool extent = field == CgatsField::width || field == CgatsField::height;
        if (field != CgatsField::seconds && !(number <= 1.0 && (extent ? number > 0.0 : number >= 0.0)))
            report(word, cgats_name(field), word.text, "write a fraction of the screen, up to 1");
        double* const targets[] = {&reading.place.x, &reading.place.y, &reading.place.width,
                                   &reading.place.height, &reading.at_s};
        *targets[static_cast<int>(field) - static_cast<int>(CgatsField::x)] = number;
    }

    std::string file_;
    int line_ = 0;
    Part part_ = Part::identifier;
    std::set<std::string> declared_;
    std::set<std::string> once_;  // keywords that may stand once only, and did
    std::map<std::string, double> counts_;
    double full_drive_ = 0.0;
    std::vector<CgatsField> fields_;
    bool format_damaged_ = false;
    bool data_readable_ = false;
    size_t sets_ = 0;
    Readings readings_;
    std::vector<Fault> faults_;
};

std::string quoted(const std::string& what, const std::string& text) {
    if (text.find_first_of("\"\r\n") != std::string::npos) {
        throw InputError(what, fmt::format("'{}' cannot stand in a CGATS.17 text", text),
                         "use one line without double quotes");
    }
    return fmt::format("\"{}\"", text);
}

}  // namespace

std::string cgats_text(const Readings& readings, const CgatsHeader& header) {
    if (readings.primaries != std::vector<std::string>{"r", "g", "b"}) {
        throw InputError(
            fmt::format("{} primaries, {}", readings.primaries.size(), fmt::join(readings.primaries, ", ")),
            "CGATS.17 text holds r, g and b: write a CSV table");
    }
    const ReadingExtras extras = extras_of(readings);
    std::vector<std::string> declared{kFullDrive, kSpectralUnit};
    std::vector<std::string> fields{"SAMPLE_ID"};
    if (extras.steps)
        fields.emplace_back("SAMPLE_NAME");
    fields.insert(fields.end(), {"RGB_R", "RGB_G", "RGB_B"});
    for (const auto& [name, field] : kCgatsFields) {
        if (kCgatsDeclaredFields.count(name) > 0 &&
            (field == CgatsField::seconds ? extras.seconds : extras.places)) {
            declared.push_back(name);
            fields.push_back(name);
        }
    }
    std::string text =
        fmt::format("{}\n\nORIGINATOR {}\nDESCRIPTOR {}\nCREATED {}\n", kCgatsIdentifiers[0],
                    quoted("ORIGINATOR", header.originator), quoted("DESCRIPTOR", header.descriptor),
                    quoted("CREATED", header.created));
    if (!header.instrumentation.empty())
        text += fmt::format("INSTRUMENTATION {}\n", quoted("INSTRUMENTATION", header.instrumentation));
    for (const std::string& name : declared)
        text += fmt::format("KEYWORD \"{}\"\n", name);
    text += fmt::format("{} 1\n{} \"{}\"\n\nNUMBER_OF_FIELDS {}\nBEGIN_DATA_FORMAT\n{}", kFullDrive,
                        kSpectralUnit, unit_text(readings.unit),
                        fields.size() + 2 * readings.wavelengths_nm.size(), fmt::join(fields, " "));
    for (size_t i = 0; i < readings.wavelengths_nm.size(); ++i)
        text += " SPECTRAL_NM SPECTRAL_DEC";
    text += fmt::format("\nEND_DATA_FORMAT\n\nNUMBER_OF_SETS {}\nBEGIN_DATA\n", readings.rows.size());
    int id = 0;
    for (const Reading& row : readings.rows) {
        ISOSEAM_CHECK(row.drive.fractions.size() == 3 && row.values.size() == readings.wavelengths_nm.size());
        text += fmt::format("{}", ++id);
        if (extras.steps)
            text += " " + quoted("SAMPLE_NAME", row.step);
        text += fmt::format(" {}", fmt::join(row.drive.fractions.begin(), row.drive.fractions.end(), " "));
        if (extras.places)
            text += fmt::format(" {} {} {} {}", row.place.x, row.place.y, row.place.width, row.place.height);
        if (extras.seconds)
            text += fmt::format(" {}", row.at_s);
        for (size_t i = 0; i < row.values.size(); ++i)
            text += fmt::format(" {} {}", readings.wavelengths_nm[i], row.values[i]);
        text += '\n';
    }
    return text + "END_DATA\n";
}

Readings parse_cgats_readings(std::string_view text, const std::string& file) {
    CgatsReader reader(file);
    for_each_line(without_byte_order_mark(text), [&](std::string_view line) { reader.read_line(line); });
    return reader.finished();
}

bool looks_like_cgats(std::string_view text) {
    text = trimmed(without_byte_order_mark(text));
    return std::any_of(kCgatsIdentifiers.begin(), kCgatsIdentifiers.end(),
                       [&](std::string_view identifier) { return text.starts_with(identifier); });
}

}  // namespace isoseam
