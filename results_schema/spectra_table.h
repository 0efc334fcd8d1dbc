#pragma once
// The table of spectra: what both lights of each setting, or answer, sent out, wavelength by wavelength.

#include <string>

#include "results_schema/export.h"
#include "results_schema/table_columns.h"

namespace isoseam {

std::string spectra_table_header();
// What spectrum_of throws is thrown.
std::string spectra_table_rows(const SessionFolder& folder, const SpectrumOfHalf& spectrum_of);
std::vector<Column> spectra_columns();

}  // namespace isoseam
