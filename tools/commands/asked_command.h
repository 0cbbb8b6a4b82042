// What `codes` and `identify` share: what control units told, from a session or asked for now.
#pragma once

#include <string>
#include <vector>

#include "analysis/asking/asked.h"
#include "tools/input/json_output.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {

class AskedCommand : public Command {
 public:
  void AddOptions(OptionList& options) override;
  Result<ExitCode> Run(Environment& environment) override;

 protected:
  // The control request that asks now, and its JSON body.
  virtual std::string target() const = 0;
  virtual std::string body() const { return "{}"; }
  // What is printed; `source`: the path of the session, or that it was asked now.
  virtual std::string Text(const analysis::AskedUnits& asked, const std::string& source) const = 0;
  virtual std::string Json(const analysis::AskedUnits& asked, const std::string& source) const = 0;
  virtual ExitCode CodeOf(const analysis::AskedUnits& asked) const = 0;

 private:
  Result<ExitCode> ReadSession(Environment& environment) const;
  Result<ExitCode> AskNow(Environment& environment) const;
  Status Show(Environment& environment, const analysis::AskedUnits& asked,
              const std::string& source) const;

  std::string path_;
  std::vector<std::string> definitions_;
  std::string socket_;
  JsonOutput json_;
};

}  // namespace proofdrive::tools
