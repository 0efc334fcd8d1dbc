#pragma once
// The files of an export: all of them, or none.
//
//     ExportFiles files(out, calls);
//     files.append("settings.csv", rows);
//     files.finish();

#include <map>
#include <nlohmann/json_fwd.hpp>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "results_schema/disk.h"

namespace isoseam {

// Writes files into a folder beside the wanted one. finish() gives the folder the wanted name. Without
// finish() the files are removed when this object is destroyed. No file that exists is written over.
class ExportFiles {
  public:
    // Makes the folder beside `out`. InputError: `out` is not empty, or an earlier export to it was killed.
    ExportFiles(const std::string& out, const SystemCalls& calls);
    ExportFiles(const ExportFiles&) = delete;
    ExportFiles& operator=(const ExportFiles&) = delete;
    ~ExportFiles();

    // Writes a whole file at once. `name` may hold folders.
    void write(const std::string& name, std::string_view text);
    void write_json(const std::string& name, const nlohmann::json& json);
    // Writes a file piece by piece. It stays open.
    void append(const std::string& name, std::string_view text);
    // Brings everything to the disk, and gives the folder its name.
    void finish();
    const std::vector<std::string>& names() const { return names_; }

  private:
    FileDescriptor begin(const std::string& name);
    void add(const FileDescriptor& file, const std::string& name, std::string_view text) const;
    std::string path(const std::string& name) const { return aside_ + "/" + name; }

    SystemCalls calls_;
    std::string out_;
    std::string aside_;
    bool finished_ = false;
    std::vector<std::string> names_;
    std::set<std::string> folders_;
    std::map<std::string, FileDescriptor> open_;
};

}  // namespace isoseam
