#pragma once
// What the forms of export have in common: each writes a data set, one session after the other.

#include <map>
#include <memory>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "results_schema/export.h"
#include "results_schema/export_files.h"
#include "results_schema/table_columns.h"

namespace isoseam {

// One session that is exported, without its records.
struct SessionCard {
    std::string session;
    std::string participant;
    std::string kind;
    std::string started_utc;
    std::string protocol_file;
    std::string protocol_sha256;
    std::vector<std::string> cautions;
    bool demo_calibration = false;
    SessionState state = SessionState::damaged;
    std::size_t settings = 0;
    std::size_t answers = 0;
    // By Labels: letters and digits only, as BIDS and Psych-DS ask. They differ between participants, and
    // between sessions of one participant, in more than the case of letters.
    std::string participant_label;
    std::string session_label;
};

// The rows of its tables, without the header; "" where it has none.
struct SessionRows {
    std::string settings;
    std::string answers;
    std::string spectra;
};

// Gives the labels, to cards in the order of the export.
class Labels {
  public:
    void label(SessionCard& card);

  private:
    std::map<std::string, std::string> participants_;
    std::set<std::string> used_;
    std::map<std::string, int> sessions_;
};

class ExportWriter {
  public:
    ExportWriter() = default;
    ExportWriter(const ExportWriter&) = delete;
    ExportWriter& operator=(const ExportWriter&) = delete;
    virtual ~ExportWriter() = default;
    virtual void add(const SessionCard& card, const SessionRows& rows) = 0;
    // What tells of all of them.
    virtual void finish(const ExportReport& report, const std::vector<SessionCard>& cards) = 0;
};
// `files` and `order` outlive what is returned.
std::unique_ptr<ExportWriter> bids_writer(const ExportOrder& order, ExportFiles& files);
std::unique_ptr<ExportWriter> psych_ds_writer(const ExportOrder& order, ExportFiles& files);
std::unique_ptr<ExportWriter> csv_writer(const ExportOrder& order, ExportFiles& files);

// Letters and digits of the text, the others left out.
std::string label_of(std::string_view text);
// "precision_one_screen settings": what was done, and of what the file tells.
std::string task_name(const SessionCard& card, std::string_view what);
// "yes: it is there; no: it is not"
std::string levels_text(const Column& column);
// What the data set holds, what is not there and why, and how to use it.
std::string export_readme(const ExportOrder& order, const ExportReport& report,
                          const std::vector<SessionCard>& cards);

}  // namespace isoseam
