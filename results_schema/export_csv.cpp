// Writes one long table of settings, one of answers, one of spectra if it is asked for, and a dictionary of
// their columns for people (CSV) and for programs (JSON).
#include "results_schema/export_writer.h"

#include <nlohmann/json.hpp>
#include "results_schema/records_table.h"
#include "results_schema/spectra_table.h"
#include "results_schema/table_row.h"

namespace isoseam {
namespace {

class Dictionary {
  public:
    void add(const char* table, const std::vector<Column>& columns) {
        for (const Column& column : columns) {
            add_row({csv_, TableForm::csv, TableRow::Line::values}, table, column);
            nlohmann::json levels = nlohmann::json::object();
            for (const auto& [value, meaning] : column.levels) {
                levels[value] = meaning;
            }
            json_[table].push_back({{"column", column.name},
                                    {"unit", column.unit},
                                    {"description", column.description},
                                    {"levels", levels}});
        }
    }
    std::string csv() const {
        std::string text;
        add_row({text, TableForm::csv, TableRow::Line::names}, "", {});
        return text + csv_;
    }
    const nlohmann::json& json() const { return json_; }

  private:
    static void add_row(TableRow row, const char* table, const Column& column) {
        row.text("table", table);
        row.text("column", column.name);
        row.text("unit", column.unit);
        row.text("description", column.description);
        row.text("levels", levels_text(column));
        row.end();
    }

    std::string csv_;
    nlohmann::json json_ = nlohmann::json::object();
};

class CsvWriter : public ExportWriter {
  public:
    CsvWriter(const ExportOrder& order, ExportFiles& files) : order_(order), files_(files) {
        files_.append("settings.csv", settings_table_header());
        files_.append("answers.csv", answers_table_header());
        if (order_.spectrum_of) {
            files_.append("spectra.csv", spectra_table_header());
        }
    }

    void add(const SessionCard& /*card*/, const SessionRows& rows) override {
        files_.append("settings.csv", rows.settings);
        files_.append("answers.csv", rows.answers);
        if (order_.spectrum_of) {
            files_.append("spectra.csv", rows.spectra);
        }
    }

    void finish(const ExportReport& report, const std::vector<SessionCard>& cards) override {
        Dictionary dictionary;
        dictionary.add("settings", settings_columns());
        dictionary.add("answers", answers_columns());
        if (order_.spectrum_of) {
            dictionary.add("spectra", spectra_columns());
        }
        files_.write("dictionary.csv", dictionary.csv());
        files_.write_json("dictionary.json", dictionary.json());
        files_.write("README.md", export_readme(order_, report, cards));
    }

  private:
    const ExportOrder& order_;
    ExportFiles& files_;
};

}  // namespace

std::unique_ptr<ExportWriter> csv_writer(const ExportOrder& order, ExportFiles& files) {
    return std::make_unique<CsvWriter>(order, files);
}

}  // namespace isoseam
