#include "results_schema/spectra_table.h"

#include "base/errors.h"
#include "results_schema/table_row.h"

namespace isoseam {
namespace {

struct Sample {
    const SessionHeader& header;
    int trial;
    const std::string& half;
    double wavelength_nm;
    double radiance_w_sr_m2_nm;
};

void add_row(TableRow row, const Sample& sample) {
    row.text("session", sample.header.session);
    row.number("trial", sample.trial);
    row.text("half", sample.half);
    row.number("wavelength_nm", sample.wavelength_nm);
    row.number("radiance_w_sr_m2_nm", sample.radiance_w_sr_m2_nm);
    row.end();
}

class Rows {
  public:
    Rows(const SessionHeader& header, const SpectrumOfHalf& spectrum_of)
        : header_(header), spectrum_of_(spectrum_of) {}

    void add(int trial, const HalfRecord& half) {
        const HalfSpectrum spectrum = spectrum_of_(header_, half);
        ISOSEAM_CHECK(spectrum.wavelengths_nm.size() == spectrum.radiance_w_sr_m2_nm.size());
        for (std::size_t i = 0; i < spectrum.wavelengths_nm.size(); ++i) {
            add_row({text_, TableForm::csv, TableRow::Line::values},
                    {header_, trial, half.half, spectrum.wavelengths_nm[i], spectrum.radiance_w_sr_m2_nm[i]});
        }
    }
    std::string take() { return std::move(text_); }

  private:
    const SessionHeader& header_;
    const SpectrumOfHalf& spectrum_of_;
    std::string text_;
};

}  // namespace

std::string spectra_table_header() {
    std::string names;
    add_row({names, TableForm::csv, TableRow::Line::names}, {{}, 0, {}, 0.0, 0.0});
    return names;
}

std::string spectra_table_rows(const SessionFolder& folder, const SpectrumOfHalf& spectrum_of) {
    Rows rows(folder.header, spectrum_of);
    for (const SettingRecord& setting : folder.settings) {
        rows.add(setting.trial, setting.adjusted);
        rows.add(setting.trial, setting.reference);
    }
    for (const AnswerRecord& answer : folder.answers) {
        rows.add(answer.trial, answer.shown);
        rows.add(answer.trial, answer.reference);
    }
    return rows.take();
}

}  // namespace isoseam
