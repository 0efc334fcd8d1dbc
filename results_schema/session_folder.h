#pragma once
// Reads session folders back and says in what state they are.
//
//     const SessionFolder folder = read_session_folder(path, ReadFor::records);

#include <string>
#include <vector>

#include "base/errors.h"
#include "results_schema/answer_record.h"
#include "results_schema/event.h"
#include "results_schema/session_header.h"

namespace isoseam {

enum class SessionState {
    // The session ended with reason "finished".
    complete,
    // The session ended with reason "left": the participant or the experimenter stopped it. All settings are
    // there.
    left_early,
    // There is no end: the program was killed or the power failed. All accepted settings are there.
    interrupted,
    // A checksum, a number or a form is wrong, or session.json is missing or does not follow the schema.
    damaged,
};
std::string to_string(SessionState state);  // "complete", "left early", "interrupted", "damaged"

struct SessionFolder {
    std::string folder;
    SessionState state = SessionState::damaged;
    bool header_ok = false;
    SessionHeader header;       // only if header_ok
    std::vector<Event> events;  // the wanted ones before the first fault
    std::vector<SettingRecord> settings;
    std::vector<AnswerRecord> answers;
    // The length of an unfinished last line, which is neither an event nor a fault.
    std::size_t torn_bytes = 0;
    std::vector<Fault> faults;  // each with file, line and what is wrong; empty unless damaged
    // The number of all events before the first fault. It includes events that are not wanted.
    std::size_t event_count = 0;
    std::string header_sha256;  // of the bytes of session.json; "" where there are none
};

// Which events a reader wants besides settings and answers, which are always read. `study` and `records` are
// many times faster than `everything`, and find the same faults.
enum class ReadFor {
    everything,  // all events
    study,       // those that are neither settings, nor answers, nor starts of trials
    records,     // none
};

// Never throws for what the folder holds: faults are listed. InputError: there is no such folder. Many
// folders are read on several threads by base/ordered_work.h, which hands them over in order.
SessionFolder read_session_folder(const std::string& folder, ReadFor wanted = ReadFor::everything);

// InputError names each of `folders` that does not exist, or is a file.
void require_session_folders(const std::vector<std::string>& folders);

}  // namespace isoseam
