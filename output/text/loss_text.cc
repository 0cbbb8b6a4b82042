#include "output/text/loss_text.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "core/base/json.h"
#include "core/base/text.h"
#include "output/sheet/table.h"

namespace proofdrive::output {
namespace {

using Json = nlohmann::ordered_json;

bool IsDataLoss(const session::Loss& loss) {
  return loss.severity == session::Loss::Severity::kDataLoss;
}

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

bool AnyDataLoss(const std::vector<session::Loss>& losses) {
  return std::any_of(losses.begin(), losses.end(), IsDataLoss);
}

std::string FormatLosses(const std::vector<session::Loss>& losses) {
  std::string text;
  for (const session::Loss& loss : losses) {
    text += Paragraph(IsDataLoss(loss) ? "  lost    " : "  notice  ", Printable(loss.what));
    if (!loss.advice.empty()) text += Paragraph("          ", Printable(loss.advice));
  }
  return text;
}

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
