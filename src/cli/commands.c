/*
 * commands.c - the list of subcommands. Adding one: a row here, its function in a file cmd_NAME.c, its test in
 * tests/golden.
 */
#include "cli/cli.h"

const struct mr_command mr_commands[] = {
    {.name = "new",
     .operands = "FOLDER",
     .least = 1,
     .most = 1,
     .options = "u",
     .summary = "make a job folder with a job file that explains itself",
     .text = "Makes FOLDER with a job file, a zone register, a spray log, a shift record and a material log to fill "
             "in. It never touches files that are already there. Where the folder holds exports, the job file has "
             "what they show (days, instruments, channels, zones), and a ? where only you can know.\vThen drop "
             "exports into the folder and run `milrise report FOLDER`.",
     .run = mr_cmd_new},
    {.name = "report",
     .operands = "[JOB]",
     .least = 0,
     .most = 1,
     .options = "oqStn",
     .summary = "read a job folder, judge it, publish workbook, charts and report.json",
     .text =
         "Reads the job folder JOB (without it, the folder where you are), aligns its exports by time and zone, "
         "judges thickness, climate, reaction and "
         "lines, and "
         "publishes a workbook, charts and report.json in JOB/reports/latest."
         "\vExit status: 0 published and every zone conforms; 1 published, and something does not conform or is not "
         "shown; "
         "2 wrong command line or job file, nothing published; 3 no input that could be judged; 4 report or answer "
         "could not be written; 5 memory ran out, or milrise made a mistake.",
     .run = mr_cmd_report},
    {.name = "watch",
     .operands = "FOLDER...",
     .least = 1,
     .most = -1,
     .options = "qwp",
     .summary = "report whenever what was dropped into job folders has settled",
     .text =
         "Watches each FOLDER: a job folder, or a folder of job folders at any depth. When the files of a job "
         "have not changed for the settling time and differ from those of its last report, milrise reports on "
         "the job, and the answer appears in its folder. A new folder that holds exports but no job file gets one "
         "to fill in. Files that were dropped are never moved, renamed or changed.\vRuns until "
         "it is ended by SIGTERM or Ctrl-C; reports that are under way have half a minute to finish, and lose "
         "nothing where they do not.",
     .run = mr_cmd_watch},
    {.name = "sweep",
     .operands = "SHARE",
     .least = 1,
     .most = 1,
     .options = "qNTMPCR",
     .summary = "report on every job below a folder whose inputs changed, and roll them up",
     .text = "Finds the job folders below SHARE, reports on those whose files, job file, templates or milrise "
             "version changed since their last report (several at once, each in its own process with limits), and "
             "writes over all of them SHARE/roll-up/roll-up.pdf (one page), roll-up.txt, roll-up.xlsx and "
             "roll-up.json.\vOver several machines: "
             "--plan lists what is due, `milrise sweep --no-roll-up JOB` does one line of the list wherever it "
             "runs, --collect makes the roll-up at the end.\nExit status: the worst of all jobs, as for `milrise "
             "report`; of --plan 0.",
     .run = mr_cmd_sweep},
    {.name = "explain",
     .operands = "FILE...",
     .least = 1,
     .most = -1,
     .options = "jJ",
     .summary = "show how exports are read",
     .text = "Shows for each FILE its encoding, delimiter, kind, columns, units, order of day and month with the "
             "evidence, time span, first and last rows, and what is set aside and why. Works without a job.\vExit "
             "status: 0 every file was recognised; 1 some rows or files were set aside; 2 wrong command line or job "
             "file; 3 no file could be read.",
     .run = mr_cmd_explain},
    {.name = "submittal",
     .operands = "JOB",
     .least = 1,
     .most = 1,
     .options = "zdoSq",
     .summary = "make the submittal of a job, or of some of its zones, as one PDF",
     .text =
         "Judges the job folder JOB and writes its submittal as one PDF: all zones, or those named by --zone. It "
         "carries the number of the published revision that says the same; where there is none, it is marked as a "
         "draft. `milrise report` publishes one with each revision.\vExit status: as for `milrise report`.",
     .run = mr_cmd_submittal},
    {.name = "figure",
     .operands = "JOB",
     .least = 1,
     .most = 1,
     .options = "kzZfdoSq",
     .summary = "make one figure of a job in the format and size asked for",
     .text = "Judges the job folder JOB and writes the figures of one kind as files: of one zone, or of all. Without "
             "--kind it lists kinds, sizes and formats.\vExit status: 0 written; 2 a name is wrong, or the job file "
             "is; 3 there is no such figure; 4 it could not be written.",
     .run = mr_cmd_figure},
    {.name = "manual",
     .operands = "PAGE",
     .least = 1,
     .most = 1,
     .options = "",
     .summary = "print a manual page, or completions for a shell",
     .text = "Prints the manual page of a command, of the whole (milrise) or of the job file (job), in the man "
             "macros; or "
             "completions for bash, zsh or fish. `make install` puts them in place.",
     .run = mr_cmd_manual},
    {.name = "dump",
     .operands = "JOB",
     .least = 1,
     .most = 1,
     .options = "s",
     .summary = "print one stage of a job as plain text",
     .text = "Prints what a stage (read, normalise, align or assess) has made of the job folder JOB, as text that "
             "stays the "
             "same as long as the input does.",
     .run = mr_cmd_dump},
};

const size_t mr_command_count = MR_COUNT(mr_commands);
