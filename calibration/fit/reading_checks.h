#pragma once
// These checks find what is wrong with spectra as an instrument gave them, for whatever purpose they are
// used.

#include <vector>

#include "base/errors.h"
#include "calibration/fit/dark.h"
#include "calibration/readings.h"

namespace isoseam {

// Gives the faults of each row that is saturated (several neighbouring samples at the table's largest value)
// or has negative light beyond the noise of black, with wavelengths.
std::vector<Fault> faults_of_spectra(const Readings& readings, const Dark& dark, const std::string& file);

// Gives the part of the cone sensitivities that lies outside the table's wavelengths or in gaps between them.
// It says how much this may matter: how much of the brightest reading's excitation is missing if the light
// beyond the ends continues as it is at the ends. The list is empty if this does not prevent fitting;
// `remarks` then says what is missing, if anything.
std::vector<Fault> faults_of_wavelengths(const Readings& readings, const std::string& file,
                                         std::vector<std::string>& remarks);

}  // namespace isoseam
