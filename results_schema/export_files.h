#pragma once
// The files of an export: all of them, or none.

#include <map>
#include <nlohmann/json.hpp>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "results_schema/disk.h"

namespace isoseam {

// Files in a folder beside the wanted one, which takes its name when finish() is called; until then they are
// removed again with this object. Nothing is written over.
class ExportFiles {
  public:
    // Makes the folder beside `out`. InputError: `out` is not empty, or an earlier one was killed.
    ExportFiles(const std::string& out, const SystemCalls& calls);
    ExportFiles(const ExportFiles&) = delete;
    ExportFiles& operator=(const ExportFiles&) = delete;
    ~ExportFiles();

    // A file at once. `name` may hold folders.
    void write(const std::string& name, std::string_view text);
    void write_json(const std::string& name, const nlohmann::json& json);
    // A file bit by bit; it stays open.
    void append(const std::string& name, std::string_view text);
    // Everything on the disk, under its name.
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
