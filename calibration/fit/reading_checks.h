#pragma once
// What is wrong with spectra as an instrument gave them, whatever they are used for.

#include <vector>

#include "base/errors.h"
#include "calibration/fit/dark.h"
#include "calibration/readings.h"

namespace isoseam {

// The faults of each row that is saturated (several samples in a row at the table's largest value) or has
// negative light beyond the noise of black, with wavelengths.
std::vector<Fault> faults_of_spectra(const Readings& readings, const Dark& dark, const std::string& file);

// The part of the cone sensitivities that lies outside the table's wavelengths or in gaps between them, with
// what it may come to: how much of the brightest reading's excitation is missing if the light goes on beyond
// the ends as it is there. Empty where it does not keep from fitting; `remarks` then tells what is missing,
// if anything.
std::vector<Fault> faults_of_wavelengths(const Readings& readings, const std::string& file,
                                         std::vector<std::string>& remarks);

}  // namespace isoseam
