// Writes a data set by Psych-DS: schema.org's Dataset in JSON-LD, beside tables in data/. The rules are
// written from memory of its specification.
#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <set>

#include "results_schema/export_writer.h"
#include "results_schema/records_table.h"

namespace isoseam {
namespace {

// valuePattern is for regular expressions (schema.org), so the description says what a level means.
nlohmann::json variable(const Column& column) {
    const std::string levels = levels_text(column);
    nlohmann::json json = {
        {"@type", "PropertyValue"},
        {"name", column.name},
        {"description",
         levels.empty() ? column.description : fmt::format("{}. Values: {}", column.description, levels)}};
    if (!column.unit.empty()) {
        json["unitText"] = column.unit;
    }
    return json;
}

// Each name stands once, since a column means the same in both tables.
nlohmann::json variables() {
    nlohmann::json all = nlohmann::json::array();
    std::set<std::string> names;
    for (const std::vector<Column>& columns : {settings_columns(), answers_columns()}) {
        for (const Column& column : columns) {
            if (names.insert(column.name).second) {
                all.push_back(variable(column));
            }
        }
    }
    return all;
}

class PsychDsWriter : public ExportWriter {
  public:
    PsychDsWriter(const ExportOrder& order, ExportFiles& files)
        : order_(order),
          files_(files),
          settings_header_(settings_table_header()),
          answers_header_(answers_table_header()) {}

    void add(const SessionCard& card, const SessionRows& rows) override {
        add_table(card, "settings", settings_header_, rows.settings);
        add_table(card, "answers", answers_header_, rows.answers);
    }

    void finish(const ExportReport& report, const std::vector<SessionCard>& cards) override {
        files_.write_json("dataset_description.json",
                          {{"@context", "https://schema.org/"},
                           {"@type", "Dataset"},
                           {"name", order_.name},
                           {"description", "Colour matches and answers, by session; see README.md"},
                           {"dateCreated", order_.date},
                           {"variableMeasured", variables()}});
        files_.write("README.md", export_readme(order_, report, cards));
        files_.write("CHANGES.md",
                     fmt::format("1.0.0 {}: exported from {} session(s)\n", order_.date, cards.size()));
    }

  private:
    void add_table(const SessionCard& card, const char* what, const std::string& header,
                   const std::string& rows) {
        if (!rows.empty()) {
            files_.write(fmt::format("data/subject-{}_session-{}_task-{}_description-{}_data.csv",
                                     card.participant_label, card.session_label,
                                     label_of(task_name(card, what)), what),
                         header + rows);
        }
    }

    const ExportOrder& order_;
    ExportFiles& files_;
    std::string settings_header_;
    std::string answers_header_;
};

}  // namespace

std::unique_ptr<ExportWriter> psych_ds_writer(const ExportOrder& order, ExportFiles& files) {
    return std::make_unique<PsychDsWriter>(order, files);
}

}  // namespace isoseam
