#include "runner/web/json_answers.h"

#include <fmt/format.h>

#include <utility>

namespace isoseam {

WebResponse json_response(int status, std::string json) {
    return {.status = status, .content_type = "application/json", .body = std::move(json)};
}

WebResponse error_response(int status, std::string_view error) {
    return json_response(status, fmt::format("{{\"error\":\"{}\"}}", error));
}

WebResponse not_allowed(const char* allow) {
    WebResponse response = error_response(405, "not_allowed");
    response.allow = allow;
    return response;
}

WebResponse no_content() {
    return {.status = 204, .content_type = "", .body = ""};
}

}  // namespace isoseam
