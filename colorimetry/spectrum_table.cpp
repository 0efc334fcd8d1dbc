#include <fmt/format.h>

#include <cmath>
#include <utility>

#include "base/errors.h"
#include "base/quantity.h"
#include "base/text_scan.h"
#include "colorimetry/spectrum.h"

namespace isoseam {
namespace {

constexpr std::string_view kSeparators = ",; \t\r";
constexpr const char* kRowRemedy = "write rows of two numbers: wavelength in nm, radiance";

// Reads one line after the other and remembers what is wrong with each.
class TableReader {
  public:
    explicit TableReader(std::string file) : file_(std::move(file)) {}

    void read_line(std::string_view line) {
        ++line_;
        const std::vector<TextCell> cells = words_between(line.substr(0, line.find('#')), kSeparators);
        if (cells.empty()) {
            return;
        }
        if (!content_seen_ && !finite_number(cells.front().text)) {
            content_seen_ = true;  // the header row
            return;
        }
        content_seen_ = true;
        if (cells.size() != 2) {
            report(cells.front().column, fmt::format("{} values in a row", cells.size()), kRowRemedy);
            return;
        }
        for (const TextCell& cell : cells) {
            if (!finite_number(cell.text)) {
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
    void add_row(const std::vector<TextCell>& cells) {
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
    TableReader reader(file);
    for_each_line(without_byte_order_mark(text), [&](std::string_view line) { reader.read_line(line); });
    return reader.finished();
}

}  // namespace isoseam
