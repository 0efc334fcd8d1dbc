#pragma once
// Makes the answers that services and the server itself give in JSON.

#include <string>
#include <string_view>

#include "runner/web/web_request.h"

namespace isoseam {

WebResponse json_response(int status, std::string json);
// The body is {"error":"not_found"}, with this word.
WebResponse error_response(int status, std::string_view error);
WebResponse not_allowed(const char* allow);  // a 405
WebResponse no_content();                    // a 204

}  // namespace isoseam
