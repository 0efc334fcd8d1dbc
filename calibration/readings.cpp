#include "calibration/readings.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <optional>
#include <utility>

#include "base/errors.h"
#include "base/quantity.h"
#include "base/text_scan.h"
#include "calibration/reading_table.h"

namespace isoseam {
namespace {

using std::size_t;

constexpr int kMostPrimaries = 16;

std::vector<TextCell> cells_of(std::string_view line) {
    std::vector<TextCell> cells;
    for (size_t begin = 0; begin <= line.size();) {
        const size_t end = std::min(line.find(',', begin), line.size());
        const std::string_view text = trimmed(line.substr(begin, end - begin));
        cells.push_back({text, static_cast<int>(text.data() - line.data()) + 1});
        begin = end + 1;
    }
    return cells;
}

// What a column holds.
enum class Content { drive, x, y, width, height, seconds, step, value };

struct Column {
    Content content = Content::value;
    int index = 0;  // of the primary or of the wavelength
    std::string name;
};

const std::vector<std::pair<std::string, Content>> kPlainColumns{{"x", Content::x},
                                                                 {"y", Content::y},
                                                                 {"width", Content::width},
                                                                 {"height", Content::height},
                                                                 {"seconds", Content::seconds},
                                                                 {"step", Content::step}};

// 0, 1, 2 for r, g, b; -1 for anything else.
int letter_index(std::string_view name) {
    const size_t index = std::string_view("rgb").find(name);
    return name.size() == 1 && index != std::string_view::npos ? static_cast<int>(index) : -1;
}

// 1 to 16 for p1 to p16; 0 for anything else.
int numbered_index(std::string_view name) {
    for (int i = 1; i <= kMostPrimaries; ++i) {
        if (name == fmt::format("p{}", i))
            return i;
    }
    return 0;
}

// Reads one line after the other and remembers what is wrong with each.
class ReadingsReader {
  public:
    explicit ReadingsReader(std::string file) : file_(std::move(file)) {
        readings_.unit = ReadingUnit::counts;  // unless a comment names another
    }

    void read_line(std::string_view line) {
        ++line_;
        const size_t comment = line.find('#');
        if (comment != std::string_view::npos) {
            read_comment(trimmed(line.substr(comment + 1)));
            line = line.substr(0, comment);
        }
        if (trimmed(line).empty())
            return;
        if (columns_.empty()) {
            read_header(cells_of(line));
        } else if (header_good_) {
            read_row(cells_of(line));
        }
    }

    Readings finished() {
        if (columns_.empty()) {
            line_ = 0;
            report(0, "", "no table", "begin with a header such as r,g,b,nm380,nm381,...");
        } else if (faults_.empty() && readings_.rows.empty()) {
            line_ = 0;
            report(0, "", "a header without rows", "write one row for each reading");
        }
        throw_if_any(faults_);
        return std::move(readings_);
    }

  private:
    void report(int column, std::string key, std::string found, std::string remedy) {
        faults_.push_back({file_, line_, column, std::move(key), std::move(found), std::move(remedy)});
    }

    void read_comment(std::string_view comment) {
        const size_t colon = comment.find(':');
        if (colon == std::string_view::npos)
            return;
        const std::string_view key = comment.substr(0, colon);
        const std::string_view value = trimmed(comment.substr(colon + 1));
        if (key == "unit")
            return read_unit(value);
        try {
            set_detail(key, value, readings_.details);
        } catch (const InputError& error) {
            for (const Fault& fault : error.faults())
                report(1, std::string(key), fault.found,
                       fault.remedy + "; or take the colon out, if it is a remark of your own");
        }
    }

    void read_unit(std::string_view unit) {
        const std::optional<ReadingUnit> named = reading_unit(unit);
        if (!named) {
            report(1, "unit", fmt::format("unit '{}'", unit), kUnitRemedy);
        } else if (unit_named_ && *named != readings_.unit) {
            report(1, "unit", fmt::format("a second unit, '{}'", unit),
                   "write the readings of each unit to a table of their own");
        }
        unit_named_ = true;
        readings_.unit = named.value_or(ReadingUnit::counts);
    }

    void read_header(const std::vector<TextCell>& cells) {
        const size_t faults_before = faults_.size();
        std::vector<std::string> seen;
        for (const TextCell& cell : cells) {
            columns_.push_back(read_heading(cell));
            if (!cell.text.empty() && std::find(seen.begin(), seen.end(), cell.text) != seen.end()) {
                report(cell.column, "", fmt::format("a second column '{}'", cell.text),
                       "keep one of the two");
            }
            seen.emplace_back(cell.text);
        }
        check_primaries(seen);
        if (readings_.wavelengths_nm.size() < 2) {
            report(1, "", fmt::format("{} columns of wavelengths", readings_.wavelengths_nm.size()),
                   "write a column for each wavelength, as in nm380,nm381,...");
        }
        header_good_ = faults_.size() == faults_before;
    }

    Column read_heading(const TextCell& cell) {
        const std::string name(cell.text);
        if (letter_index(name) >= 0)
            return {Content::drive, letter_index(name), name};
        if (numbered_index(name) > 0)
            return {Content::drive, numbered_index(name) - 1, name};
        for (const auto& [plain, content] : kPlainColumns) {
            if (name == plain)
                return {content, 0, name};
        }
        if (name.starts_with("nm")) {
            if (const std::optional<double> nm = finite_number(std::string_view(name).substr(2))) {
                add_wavelength(cell, *nm);
                return {Content::value, static_cast<int>(readings_.wavelengths_nm.size()) - 1, name};
            }
        }
        std::vector<std::string> known{"r", "g", "b", "p1"};
        for (const auto& [plain, content] : kPlainColumns)
            known.push_back(plain);
        report(cell.column, "", fmt::format("unknown column '{}'", name),
               did_you_mean(name, known) +
                   "columns are r,g,b or p1,p2,... for the drives, x, y, width, height, seconds, step, and "
                   "nm380 and the like");
        return {};
    }

    void add_wavelength(const TextCell& cell, double nm) {
        if (!(nm >= 100.0 && nm <= 5000.0)) {
            report(cell.column, "", fmt::format("wavelength {} nm", nm),
                   "give wavelengths from 100 to 5000 nm");
        } else if (!readings_.wavelengths_nm.empty() && !(nm > readings_.wavelengths_nm.back())) {
            report(cell.column, "", fmt::format("{} nm follows {} nm", nm, readings_.wavelengths_nm.back()),
                   "sort the columns by wavelength, each only once");
        }
        readings_.wavelengths_nm.push_back(nm);
    }

    void check_primaries(const std::vector<std::string>& names) {
        const auto there = [&](const std::string& name) {
            return std::find(names.begin(), names.end(), name) != names.end();
        };
        int highest = 0;
        for (const std::string& name : names)
            highest = std::max(highest, numbered_index(name));
        const bool lettered = there("r") || there("g") || there("b");
        if (lettered && highest > 0) {
            report(1, "", "both r, g, b and p1, p2, ... name drives", "name all of them by numbers");
            return;
        }
        if (highest == 0) {
            readings_.primaries = {"r", "g", "b"};
        } else {
            for (int i = 1; i <= std::max(highest, 3); ++i)
                readings_.primaries.push_back(fmt::format("p{}", i));
        }
        std::vector<std::string> missing;
        std::copy_if(readings_.primaries.begin(), readings_.primaries.end(), std::back_inserter(missing),
                     [&](const std::string& name) { return !there(name); });
        if (!missing.empty()) {
            report(1, "", fmt::format("no drive column {}", fmt::join(missing, ", ")),
                   "write one column of drives (0 to 1) for each primary");
        }
    }

    void read_row(const std::vector<TextCell>& cells) {
        if (cells.size() != columns_.size()) {
            report(1, "", fmt::format("{} cells under {} headings", cells.size(), columns_.size()),
                   "write one cell for each column");
            return;
        }
        Reading reading;
        reading.line = line_;
        reading.drive.fractions.setZero(static_cast<Eigen::Index>(readings_.primaries.size()));
        reading.values.resize(readings_.wavelengths_nm.size());
        for (size_t i = 0; i < cells.size(); ++i)
            read_cell(cells[i], columns_[i], reading);
        readings_.rows.push_back(std::move(reading));
    }

    void read_cell(const TextCell& cell, const Column& column, Reading& reading) {
        if (column.content == Content::step) {
            reading.step = cell.text;
            return;
        }
        const std::optional<double> value = finite_number(cell.text);
        if (!value) {
            report(cell.column, column.name, fmt::format("'{}' is not a finite number", cell.text),
                   "write a number such as 0.5, with a point");
            return;
        }
        switch (column.content) {
            case Content::drive:
                check_range(cell, column, *value,
                            "a drive from 0 to 1 (the code divided by the largest code)");
                reading.drive.fractions[column.index] = *value;
                break;
            case Content::x:
                check_range(cell, column, *value, "a fraction of the screen's width from 0 to 1");
                reading.place.x = *value;
                break;
            case Content::y:
                check_range(cell, column, *value, "a fraction of the screen's height from 0 to 1");
                reading.place.y = *value;
                break;
            case Content::width:
                check_extent(cell, column, *value);
                reading.place.width = *value;
                break;
            case Content::height:
                check_extent(cell, column, *value);
                reading.place.height = *value;
                break;
            case Content::seconds:
                if (!(*value >= 0.0))
                    report(cell.column, column.name, fmt::format("{} s", *value),
                           "count the seconds from the first reading");
                reading.at_s = *value;
                break;
            case Content::value:
                reading.values[static_cast<size_t>(column.index)] = *value;
                break;
            case Content::step:
                break;
        }
    }

    void check_range(const TextCell& cell, const Column& column, double value, const char* what) {
        if (!(value >= 0.0 && value <= 1.0))
            report(cell.column, column.name, fmt::format("{}", value), fmt::format("write {}", what));
    }

    void check_extent(const TextCell& cell, const Column& column, double value) {
        if (!(value > 0.0 && value <= 1.0))
            report(cell.column, column.name, fmt::format("{}", value),
                   "write a fraction of the screen, above 0 and up to 1");
    }

    std::string file_;
    int line_ = 0;
    bool unit_named_ = false;
    bool header_good_ = false;
    std::vector<Column> columns_;
    Readings readings_;
    std::vector<Fault> faults_;
};

}  // namespace

bool same_place(const PatchPlace& a, const PatchPlace& b) {
    constexpr double kSamePlace = 0.005;
    return std::abs(a.x - b.x) <= kSamePlace && std::abs(a.y - b.y) <= kSamePlace &&
           std::abs(a.width - b.width) <= kSamePlace && std::abs(a.height - b.height) <= kSamePlace;
}

std::string unit_text(ReadingUnit unit) {
    return unit == ReadingUnit::w_sr_m2_nm ? "W/(sr m2 nm)" : "counts";
}

std::optional<ReadingUnit> reading_unit(std::string_view text) {
    for (const ReadingUnit unit : {ReadingUnit::w_sr_m2_nm, ReadingUnit::counts}) {
        if (text == unit_text(unit))
            return unit;
    }
    return std::nullopt;
}

Readings parse_readings(std::string_view text, const std::string& file) {
    ReadingsReader reader(file);
    for_each_line(without_byte_order_mark(text), [&](std::string_view line) { reader.read_line(line); });
    return reader.finished();
}

std::string readings_text(const Readings& readings) {
    const auto [places, seconds, steps] = extras_of(readings);
    std::string text;
    for (const std::string& line : detail_lines(readings.details)) {
        ISOSEAM_CHECK(line.find_first_of("\r\n") == std::string::npos, line);
        text += fmt::format("# {}\n", line);
    }
    text += fmt::format("# unit: {}\n{}", unit_text(readings.unit), fmt::join(readings.primaries, ","));
    text += places ? ",x,y,width,height" : "";
    text += seconds ? ",seconds" : "";
    text += steps ? ",step" : "";
    for (const double nm : readings.wavelengths_nm)
        text += fmt::format(",nm{}", nm);
    text += '\n';
    for (const Reading& row : readings.rows) {
        ISOSEAM_CHECK(row.drive.fractions.size() == static_cast<Eigen::Index>(readings.primaries.size()) &&
                      row.values.size() == readings.wavelengths_nm.size());
        ISOSEAM_CHECK(is_step(row.step), fmt::format("step '{}'", row.step));
        text += fmt::format("{}", fmt::join(row.drive.fractions.begin(), row.drive.fractions.end(), ","));
        if (places)
            text += fmt::format(",{},{},{},{}", row.place.x, row.place.y, row.place.width, row.place.height);
        if (seconds)
            text += fmt::format(",{}", row.at_s);
        if (steps)
            text += "," + row.step;
        text += fmt::format(",{}\n", fmt::join(row.values, ","));
    }
    return text;
}

Spectrum spectrum_of(const Readings& readings, const Reading& reading) {
    return Spectrum::from_signed_w_sr_m2_nm(readings.wavelengths_nm, reading.values);
}

}  // namespace isoseam
