#pragma once
// What the forms of export have in common: each writes a data set, one session after the other.
//
//     const auto writer = bids_writer(order, files);
//     writer->add(card, rows);
//     writer->finish(report, cards);

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
    // Labels gives these two. They hold letters and digits only, as BIDS and Psych-DS ask. They differ
    // between participants, and between sessions of one participant, in more than the case of letters.
    std::string participant_label;
    std::string session_label;
};

// The rows of the tables of one session, without the headers; "" where the session has none.
struct SessionRows {
    std::string settings;
    std::string answers;
    std::string spectra;
};

// Gives cards their labels. The cards come in the order of the export.
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
    // Writes the files that tell of all sessions.
    virtual void finish(const ExportReport& report, const std::vector<SessionCard>& cards) = 0;
};
// `files` and `order` must outlive the writer.
std::unique_ptr<ExportWriter> bids_writer(const ExportOrder& order, ExportFiles& files);
std::unique_ptr<ExportWriter> psych_ds_writer(const ExportOrder& order, ExportFiles& files);
std::unique_ptr<ExportWriter> csv_writer(const ExportOrder& order, ExportFiles& files);

// The letters and digits of the text, without its other characters.
std::string label_of(std::string_view text);
// What was done, and what the file tells about: "precision_one_screen settings".
std::string task_name(const SessionCard& card, std::string_view what);
// The levels of a column in one text: "yes: it is there; no: it is not".
std::string levels_text(const Column& column);
// The README of a data set: what it holds, what it does not hold and why, and how to use it.
std::string export_readme(const ExportOrder& order, const ExportReport& report,
                          const std::vector<SessionCard>& cards);

}  // namespace isoseam
