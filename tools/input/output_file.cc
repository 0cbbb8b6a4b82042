#include "tools/input/output_file.h"

#include <string_view>
#include <utility>

#include "session/model/names.h"

namespace proofdrive::tools {
namespace {

// A document's beginning is within this.
constexpr std::size_t kMostOpening = 4096;

// What all documents of one kind begin with: JSON up to its first key, a page up to its title.
std::string_view Opening(std::string_view text) {
  const std::string_view end = text.starts_with('{') ? ":" : "<title>";
  const std::size_t at = text.substr(0, kMostOpening).find(end);
  return at == text.npos ? text : text.substr(0, at + end.size());
}

Status Refuse(const OutputFile& output, ErrorKind kind, const std::string& why) {
  return Status(kind, output.option + " " + output.path + " " + why);
}

Status CheckKind(Files& files, const OutputFile& output) {
  const auto refuse = [&](const char* why) {
    return Refuse(output, ErrorKind::kInvalidArgument, why);
  };
  switch (files.KindOf(output.path)) {
    case PathKind::kLink:
      return refuse("is a symbolic link; give the path it leads to");
    case PathKind::kFolder:
      return refuse("is a folder; give the name of a file in it");
    case PathKind::kOther:
      return refuse(
          "is a device, a pipe or a socket, which would be replaced; give the name of a "
          "file");
    case PathKind::kNothing:
    case PathKind::kFile:
      break;
  }
  return Status::Ok();
}

Result<bool> BeginsAs(Files& files, const std::string& path, std::string_view opening) {
  ASSIGN_OR_RETURN(auto file, files.Open(path));
  ASSIGN_OR_RETURN(const auto bytes, file->Read(0, opening.size()));
  return bytes.empty() ||
         std::string_view(reinterpret_cast<const char*>(bytes.data()), bytes.size()) == opening;
}

}  // namespace

void AddOverwriteOption(OptionList& options, bool& overwrite) {
  options.Add("--overwrite", &overwrite,
              "Replace a file of another kind that has the name of the result");
}

Status CheckOutput(Files& files, const OutputFile& output) {
  if (session::HoldsRecording(output.path)) {
    return Refuse(output, ErrorKind::kInvalidArgument,
                  "would overwrite a recording; give the result another name");
  }
  const std::string_view name = std::string_view(output.path).substr(output.path.rfind('/') + 1);
  if (name.find('.') == std::string_view::npos &&
      files.KindOf(output.path + ".session") == PathKind::kFile) {
    return Refuse(output, ErrorKind::kInvalidArgument,
                  "is the name of a recording; give the result an ending, such as .html");
  }
  return CheckKind(files, output);
}

Status WriteOutput(Files& files, const OutputFile& output, const std::string& text) {
  RETURN_IF_ERROR(CheckOutput(files, output));
  if (!output.overwrite && files.KindOf(output.path) == PathKind::kFile) {
    ASSIGN_OR_RETURN(const bool same, BeginsAs(files, output.path, Opening(text)));
    if (!same) {
      return Refuse(output, ErrorKind::kAlreadyExists,
                    "exists and is no earlier result of this kind; nothing was written. Give "
                    "another name, or --overwrite to replace it");
    }
  }
  return ReplaceFile(files, output.path, text);
}

Result<NewFile> PlanNewFile(Files& files, const OutputFile& output) {
  RETURN_IF_ERROR(CheckOutput(files, output));
  if (!files.Exists(output.path)) return NewFile{output.path, output.path};
  if (!output.overwrite) {
    return Refuse(output, ErrorKind::kAlreadyExists,
                  "exists; nothing was written. Give another name, or --overwrite to replace it");
  }
  std::string name = output.path + ".new";
  for (int number = 2; files.Exists(name); ++number) {
    name = output.path + "." + std::to_string(number) + ".new";
  }
  return NewFile{std::move(name), output.path};
}

Status PutInPlace(Files& files, const NewFile& file) {
  if (file.written == file.wanted) return Status::Ok();
  RETURN_IF_ERROR(files.Rename(file.written, file.wanted));
  return files.SyncDirectory(DirectoryOf(file.wanted));
}

}  // namespace proofdrive::tools
