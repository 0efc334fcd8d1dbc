#include <fmt/format.h>

#include <cmath>
#include <utility>

#include "base/errors.h"
#include "base/quantity.h"
#include "colorimetry/spectrum.h"

namespace isoseam {
namespace {

constexpr std::string_view kSeparators = ",; \t\r";
constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
constexpr const char* kRowRemedy = "write rows of two numbers: wavelength in nm, radiance";

struct Cell {
    std::string_view text;
    int column;  // of its first character, from 1
};

std::vector<Cell> cells_of(std::string_view line) {
    line = line.substr(0, line.find('#'));
    std::vector<Cell> cells;
    std::size_t begin = line.find_first_not_of(kSeparators);
    while (begin != std::string_view::npos) {
        const std::size_t end = std::min(line.find_first_of(kSeparators, begin), line.size());
        cells.push_back({line.substr(begin, end - begin), static_cast<int>(begin) + 1});
        begin = line.find_first_not_of(kSeparators, end);
    }
    return cells;
}

bool is_number(const Cell& cell) {
    try {
        parse_number(cell.text);
        return true;
    } catch (const InputError&) {
        return false;
    }
}

// Reads one line after the other and remembers what is wrong with each.
class TableReader {
  public:
    explicit TableReader(std::string file) : file_(std::move(file)) {}

    void read_line(std::string_view line) {
        ++line_;
        const std::vector<Cell> cells = cells_of(line);
        if (cells.empty()) {
            return;
        }
        if (!content_seen_ && !is_number(cells.front())) {
            content_seen_ = true;  // the header row
            return;
        }
        content_seen_ = true;
        if (cells.size() != 2) {
            report(cells.front().column, fmt::format("{} values in a row", cells.size()), kRowRemedy);
            return;
        }
        for (const Cell& cell : cells) {
            if (!is_number(cell)) {
                report(cell.column, fmt::format("'{}' is not a finite number", cell.text), kRowRemedy);
                return;
            }
        }
        add_row(cells);
    }

    Spectrum finished() {
        if (faults_.empty() && wavelengths_nm_.size() < 2) {
            line_ = 0;
            report(0, fmt::format("{} rows of numbers", wavelengths_nm_.size()), "give at least two");
        }
        throw_if_any(faults_);
        return Spectrum::from_radiance_w_sr_m2_nm(std::move(wavelengths_nm_), std::move(values_));
    }

  private:
    void add_row(const std::vector<Cell>& cells) {
        const double nm = parse_number(cells[0].text);
        const double value = parse_number(cells[1].text);
        if (!(nm >= 100.0 && nm <= 5000.0)) {
            report(cells[0].column, fmt::format("wavelength {} nm", nm),
                   "give wavelengths from 100 to 5000 nm");
        } else if (!wavelengths_nm_.empty() && !(nm > wavelengths_nm_.back())) {
            report(cells[0].column, fmt::format("{} nm follows {} nm", nm, wavelengths_nm_.back()),
                   "sort the wavelengths, each only once");
        } else if (!(value >= 0.0)) {
            report(cells[1].column, fmt::format("negative radiance {} at {} nm", value, nm),
                   "a light has 0 or more at each wavelength; take the instrument's dark reading off, or set "
                   "noise to 0");
        }
        wavelengths_nm_.push_back(nm);
        values_.push_back(value);
    }

    void report(int column, std::string found, std::string remedy) {
        faults_.push_back({file_, line_, column, "", std::move(found), std::move(remedy)});
    }

    std::string file_;
    int line_ = 0;
    bool content_seen_ = false;
    std::vector<double> wavelengths_nm_;
    std::vector<double> values_;
    std::vector<Fault> faults_;
};

}  // namespace

Spectrum parse_spectrum_table(std::string_view text, const std::string& file) {
    if (text.starts_with(kByteOrderMark)) {
        text.remove_prefix(kByteOrderMark.size());
    }
    TableReader reader(file);
    while (!text.empty()) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        reader.read_line(text.substr(0, end));
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    return reader.finished();
}

}  // namespace isoseam
