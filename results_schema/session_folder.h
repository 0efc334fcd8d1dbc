#pragma once
// Reads session folders back and says in what state they are.

#include <string>
#include <string_view>
#include <vector>

#include "base/errors.h"

#include "results_schema/records.h"

namespace isoseam {

enum class SessionState {
    complete,     // ended with reason "finished"
    left_early,   // ended with reason "left": the participant or experimenter stopped; all settings are there
    interrupted,  // no end: the program was killed or the power failed; all accepted settings are there
    damaged,  // a checksum, number or form is wrong, or session.json is missing or does not follow the schema
};
std::string to_string(SessionState state);  // "complete", "left early", "interrupted", "damaged"

struct SessionFolder {
    std::string folder;
    SessionState state = SessionState::damaged;
    bool header_ok = false;
    SessionHeader header;       // if header_ok
    std::vector<Event> events;  // those before the first fault
    std::vector<SettingRecord> settings;
    std::vector<AnswerRecord> answers;
    std::size_t torn_bytes = 0;   // of an unfinished last line, which is not an event and not a fault
    std::vector<Fault> faults;    // file, line, what is wrong; empty unless damaged
    std::size_t event_count = 0;  // those before the first fault, also where `events` is not wanted
    std::string header_sha256;    // of session.json's bytes; "" where there are none
};

// What a reader wants. `records`, settings and answers, leaves `events` empty; `study` keeps those that are
// neither records nor starts of trials. Both are many times faster than all events, and find the same faults.
enum class ReadFor { everything, study, records };

// Never throws for what the folder holds: faults are listed. A folder that does not exist is an InputError.
// Many of them: ordered_work.h reads on several threads and hands over in order.
SessionFolder read_session_folder(const std::string& folder, ReadFor wanted = ReadFor::everything);

// InputError that names each of `folders` that is not there, or is a file.
void require_session_folders(const std::vector<std::string>& folders);

// The schemas, as compiled in.
std::string_view session_schema_text();
std::string_view settings_schema_text();

// csv: RFC 4180, and nothing in a cell where there is no such thing. tsv: tabs, line feeds, and "n/a" there,
// as BIDS asks of its tables.
enum class TableForm { csv, tsv };

// One row per setting. Columns in README.md; numbers in shortest round-trip form.
std::string settings_table_header(TableForm form = TableForm::csv);
std::string settings_table_rows(const SessionFolder& folder, TableForm form = TableForm::csv);
// The same, one row per answer to a trial of a task.
std::string answers_table_header(TableForm form = TableForm::csv);
std::string answers_table_rows(const SessionFolder& folder, TableForm form = TableForm::csv);

}  // namespace isoseam
