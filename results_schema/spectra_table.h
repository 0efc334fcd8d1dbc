#pragma once
// The table of spectra: the radiance of both lights of each setting, or answer, wavelength by wavelength.
//
//     file << spectra_table_header() << spectra_table_rows(folder, spectrum_of);

#include <string>

#include "results_schema/export.h"
#include "results_schema/table_columns.h"

namespace isoseam {

std::string spectra_table_header();
// Throws what spectrum_of throws.
std::string spectra_table_rows(const SessionFolder& folder, const SpectrumOfHalf& spectrum_of);
std::vector<Column> spectra_columns();

}  // namespace isoseam
