#include "output/json/loss_json.h"

#include <nlohmann/json.hpp>

#include "core/base/json.h"
#include "output/json/json_parts.h"
#include "output/text/loss_text.h"

namespace proofdrive::output {
namespace {

Json LossesJson(const std::vector<session::Loss>& losses) {
  Json list = Json::array();
  for (const session::Loss& loss : losses) {
    list.push_back({{"severity", IsDataLoss(loss) ? "data loss" : "notice"},
                    {"offset", loss.offset},
                    {"bytes", loss.bytes},
                    {"what", loss.what},
                    {"advice", loss.advice}});
  }
  return list;
}

}  // namespace

std::string VerifyJson(const std::vector<Verified>& sessions) {
  Json list = Json::array();
  for (const auto& [path, report] : sessions) {
    list.push_back({{"path", path},
                    {"state", StateName(report.state)},
                    {"frames", report.frames},
                    {"events", report.events},
                    {"losses", LossesJson(report.losses)}});
  }
  return DumpJsonDocument(Json{{"sessions", std::move(list)}});
}

std::string RecoverJson(const std::string& path, const session::RecoverReport& report) {
  return DumpJsonDocument(
      Json{{"path", path},
           {"output", report.output.empty() ? Json(nullptr) : Json(report.output)},
           {"frames", report.frames},
           {"events", report.events},
           {"losses", LossesJson(report.losses)}});
}

}  // namespace proofdrive::output
