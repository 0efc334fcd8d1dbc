// Writes a data set of behaviour by the Brain Imaging Data Structure (BIDS 1.10). The rules are written from
// memory of its specification.
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "results_schema/export_writer.h"
#include "results_schema/records_table.h"

namespace isoseam {
namespace {

constexpr const char* kBidsVersion = "1.10.0";

nlohmann::json described(const std::string& description) {
    return {{"Description", description}};
}

nlohmann::json described(const Column& column) {
    nlohmann::json json = described(column.description);
    if (!column.unit.empty()) {
        json["Units"] = column.unit;
    }
    for (const auto& [value, meaning] : column.levels) {
        json["Levels"][value] = meaning;
    }
    return json;
}

// A table's header, and the entries on its columns that every sidecar repeats.
struct Table {
    std::string header;
    nlohmann::json columns;
    Table(std::string names, const std::vector<Column>& all) : header(std::move(names)) {
        for (const Column& column : all) {
            columns[column.name] = described(column);
        }
    }
};

class BidsWriter : public ExportWriter {
  public:
    BidsWriter(const ExportOrder& order, ExportFiles& files) : order_(order), files_(files) {}

    void add(const SessionCard& card, const SessionRows& rows) override {
        add_table(card, "settings", settings_, rows.settings);
        add_table(card, "answers", answers_, rows.answers);
    }

    void finish(const ExportReport& report, const std::vector<SessionCard>& cards) override {
        files_.write_json("dataset_description.json",
                          {{"Name", order_.name},
                           {"BIDSVersion", kBidsVersion},
                           {"DatasetType", "raw"},
                           {"GeneratedBy", {{{"Name", "Isoseam"}, {"Version", order_.program_version}}}}});
        files_.write("README", export_readme(order_, report, cards));
        files_.write("CHANGES",
                     fmt::format("1.0.0 {}\n  - Exported from {} session(s).\n", order_.date, cards.size()));
        write_participants(cards);
        write_sessions(cards);
    }

  private:
    void add_table(const SessionCard& card, std::string_view what, const Table& table,
                   const std::string& rows) {
        if (rows.empty()) {
            return;
        }
        const std::string task = task_name(card, what);
        const std::string name = fmt::format("sub-{0}/ses-{1}/beh/sub-{0}_ses-{1}_task-{2}_beh",
                                             card.participant_label, card.session_label, label_of(task));
        files_.write(name + ".tsv", table.header + rows);
        nlohmann::json sidecar = table.columns;
        sidecar["TaskName"] = task;
        sidecar["TaskDescription"] = "Colour matching on calibrated screens, by the protocol in ProtocolFile";
        sidecar["ProtocolFile"] = card.protocol_file;
        sidecar["ProtocolSHA256"] = card.protocol_sha256;
        sidecar["Cautions"] = card.cautions;
        files_.write_json(name + ".json", sidecar);
    }

    void write_participants(const std::vector<SessionCard>& cards) {
        std::map<std::string, std::pair<std::string, int>>
            participants;  // for each label the code, and sessions
        for (const SessionCard& card : cards) {
            auto& [code, sessions] = participants[card.participant_label];
            code = card.participant;
            ++sessions;
        }
        std::string table = "participant_id\tparticipant_code\tsessions\n";
        for (const auto& [label, whose] : participants) {
            table += fmt::format("sub-{}\t{}\t{}\n", label, whose.first, whose.second);
        }
        files_.write("participants.tsv", table);
        files_.write_json(
            "participants.json",
            {{"participant_id", described("Label of the participant in this data set")},
             {"participant_code", described("Code of the participant in the session folders")},
             {"sessions", described(Column{"sessions", "Sessions in this data set", "count", {}})}});
    }

    void write_sessions(const std::vector<SessionCard>& cards) {
        std::map<std::string, std::string> tables;
        for (const SessionCard& card : cards) {
            std::string& table = tables[card.participant_label];
            if (table.empty()) {
                table = "session_id\tacq_time\tsession\tkind\tstate\tdemo_calibration\n";
            }
            // A rehearsal has no date: the one that it states is invented.
            table += fmt::format("ses-{}\t{}\t{}\t{}\t{}\t{}\n", card.session_label,
                                 card.kind == "rehearsal" ? "n/a" : card.started_utc, card.session, card.kind,
                                 to_string(card.state), card.demo_calibration ? "true" : "false");
        }
        nlohmann::json dictionary = {
            {"session_id", described("Label of the session in this data set")},
            {"acq_time", described("When it began, in UTC; n/a: a rehearsal has no date")}};
        for (const char* name : {"session", "kind", "state", "demo_calibration"}) {
            dictionary[name] = settings_.columns[name];
        }
        for (const auto& [label, table] : tables) {
            const std::string name = fmt::format("sub-{0}/sub-{0}_sessions", label);
            files_.write(name + ".tsv", table);
            files_.write_json(name + ".json", dictionary);
        }
    }

    const ExportOrder& order_;
    ExportFiles& files_;
    Table settings_{settings_table_header(TableForm::tsv), settings_columns()};
    Table answers_{answers_table_header(TableForm::tsv), answers_columns()};
};

}  // namespace

std::unique_ptr<ExportWriter> bids_writer(const ExportOrder& order, ExportFiles& files) {
    return std::make_unique<BidsWriter>(order, files);
}

}  // namespace isoseam
