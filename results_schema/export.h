#pragma once
// Hands sessions on to others: as a BIDS data set of behaviour, as a Psych-DS data set, or as long tables
// with a dictionary of their columns. An export holds settings and answers only, by the participant's code.
// What a participant agreed to, or was asked before and after the trials, stays in the session folders.
//
//     const ExportReport report = export_sessions({.folders = {"P01-20261125T160312Z"}, .out = "shared"});

#include <functional>
#include <string>
#include <vector>

#include "results_schema/session_folder.h"
#include "results_schema/session_log.h"

namespace isoseam {

enum class ExportForm { bids, psych_ds, csv };

// The light of one half.
struct HalfSpectrum {
    std::vector<double> wavelengths_nm;
    std::vector<double> radiance_w_sr_m2_nm;  // one number for each wavelength
};
// Is called on several threads at once. InputError where the light cannot be computed.
using SpectrumOfHalf = std::function<HalfSpectrum(const SessionHeader&, const HalfRecord&)>;

struct ExportOrder {
    std::vector<std::string> folders;
    ExportForm form = ExportForm::csv;
    std::string out;              // a folder that is empty or not there yet
    std::string name;             // the name of the data set
    std::string date;             // the date of the export, "2026-11-25"
    std::string program_version;  // the version of the program that exports
    // If it is not empty, the csv form has one more table, with the spectra of both lights of every setting
    // and answer.
    SpectrumOfHalf spectrum_of{};
};

// What became of one of the folders.
struct ExportedFolder {
    std::string folder;
    std::string session;  // "" where the header cannot be read
    SessionState state = SessionState::damaged;
    std::size_t settings = 0;    // how many were exported
    std::size_t answers = 0;     // how many were exported
    bool is_copy = false;        // the folder was left out, since the same session came before
    bool lacks_spectra = false;  // spectra were asked for, and could not be computed
    // The reason why all or a part of it was left out; "" if it is there as a whole.
    std::string reason;
};

struct ExportReport {
    std::vector<ExportedFolder> folders;  // in the order given
    std::vector<std::string> files;       // their paths below `out`, in the order in which they were begun
    bool whole() const;                   // whether every folder is there as a whole, once
};

// Each folder is read once, on several threads. Except for a few words about each folder, what is held in
// memory does not grow with their number. Everything is written to `out`.unfinished, which becomes `out` when
// all of it is on the disk. A session that is given twice counts once, by the folder that comes first.
//
// InputError: a folder does not exist (all such folders are named), `out` is not empty, or an export to it
// was killed and left its `out`.unfinished. Then nothing is written. MachineError: something cannot be
// written. Then what was written so far is removed.
ExportReport export_sessions(const ExportOrder& order, const SystemCalls& calls = SystemCalls::real());

}  // namespace isoseam
