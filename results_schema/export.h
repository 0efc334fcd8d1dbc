#pragma once
// Hands sessions on to others: as a BIDS data set of behaviour, a Psych-DS data set, or long tables with a
// dictionary of their columns. Settings and answers only, by the participant's code: what a participant
// agreed to or was asked before and after the trials stays in the session folders.

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
    std::vector<double> radiance_w_sr_m2_nm;  // one for each wavelength
};
// Is called on several threads at once. InputError where the light cannot be told.
using SpectrumOfHalf = std::function<HalfSpectrum(const SessionHeader&, const HalfRecord&)>;

struct ExportOrder {
    std::vector<std::string> folders;
    ExportForm form = ExportForm::csv;
    std::string out;              // a folder that is empty or not there yet
    std::string name;             // of the data set
    std::string date;             // of the export, "2026-11-25"
    std::string program_version;  // that exports
    // csv only: a table more, with the spectra of both lights of every setting and answer. Empty: none.
    SpectrumOfHalf spectrum_of{};
};

// What became of one of the folders.
struct ExportedFolder {
    std::string folder;
    std::string session;  // "" if the header cannot be read
    SessionState state = SessionState::damaged;
    std::size_t settings = 0;  // exported
    std::size_t answers = 0;
    bool is_copy = false;        // left out, since the same session came before
    bool lacks_spectra = false;  // they were asked for, and could not be told
    std::string reason;          // why it was left out, or what of it; "" if it is there as a whole
};

struct ExportReport {
    std::vector<ExportedFolder> folders;  // in the order given
    std::vector<std::string> files;       // below `out`, in the order in which they were begun
    bool whole() const;                   // every folder is there as a whole, once
};

// Each folder is read once, on several threads; what is held in memory does not grow with their number, but
// for a line on each. All is written to `out`.unfinished, which becomes `out` when all is on the disk.
// InputError when a folder does not exist (all are named), `out` is not empty, or an export to it was killed
// and left its `out`.unfinished: then nothing is written. MachineError when something cannot be written:
// what was written so far is removed. A session that is given twice counts once, by the folder that comes
// first.
ExportReport export_sessions(const ExportOrder& order, const SystemCalls& calls = SystemCalls::real());

}  // namespace isoseam
