/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the commands share. */
#ifndef CLI_H
#define CLI_H

#include "earshot/earshot.h"

/* Exit statuses, in the order of how bad it is. */
typedef enum cli_exit {
    CLI_OK = 0,        /* every device has its margin */
    CLI_LACKING = 1,   /* some device needs a repeater or a wire, or the receiver cannot hold them all */
    CLI_USAGE = 2,     /* the command line is wrong */
    CLI_BAD_PLAN = 3,  /* the plan or the readings are wrong */
    CLI_BAD_FILE = 4,  /* a file, or standard output, cannot be read or written */
    CLI_BAD_FAULT = 5, /* out of memory, or an internal fault */
} cli_exit;

/* The model used when --model does not say. */
#define CLI_MODEL EARSHOT_MODEL_RAYS

enum { CLI_MAX_BANDS = EARSHOT_MAX_BANDS };

/* What the command line says; NULL, 0 or NAN where it says nothing. */
typedef struct cli_options {
    const char *plan, *device;
    earshot_model model;
    double band_hz[CLI_MAX_BANDS];
    size_t n_bands; /* 0: all bands of the plan */
    const char *scene, *storey, *receiver, *radio, *from, *csv, *json, *picture;
    const char *output, *date, *prepared_for, *prepared_by;
    earshot_language language;
    earshot_paper paper;
    const char *readings, *write;
    double cell_m, height_m, spacing_m, seconds;
    size_t best; /* 0: not said */
    bool anywhere, place;
    double tolerance_db, noise_db, scale_low_dbm, scale_high_dbm;
    bool no_map, plan_text, flat, next, help;
} cli_options;

/* One command: files command_*.c. */
typedef struct cli_command {
    const char *name, *summary;
    const char *operands; /* as in the synopsis */
    const char *second;   /* the second operand as a missing one is called; NULL: there is none */
    size_t least, most;   /* operands */
    const char *options;  /* letters of those it takes, see options.c */
    const char *description;
    cli_exit (*run)(const cli_options *options);
} cli_command;

extern const cli_command CLI_CHECK, CLI_MAP, CLI_EXPLAIN, CLI_PLACE, CLI_CALIBRATE, CLI_REPORT, CLI_MATERIALS, CLI_NEW;
/* [n] all commands, in the order of the help. */
extern const cli_command *const CLI_COMMANDS[];
extern const size_t CLI_N_COMMANDS;

/* ---- options.c ---- */

/* Read the arguments of a command; argv[0] is its name. CLI_OK or CLI_USAGE, which has been reported. */
cli_exit cli_read_options(const cli_command *command, int argc, char **argv, cli_options *options);
/* The help of one command, or with NULL that of the program, to stdout. */
void cli_print_help(const cli_command *command);

/* ---- report.c: everything that goes to stderr ---- */

/* "earshot: MESSAGE", and a second line for what to do about it (NULL: none). */
void cli_complain(const char *hint, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* A mistake of the command line: the second line points at the help of a command (NULL: of the program). */
cli_exit cli_usage(const cli_command *command, const char *format, ...) __attribute__((format(printf, 2, 3)));
void cli_report_error(const earshot_error *error, bool warning);
/* All mistakes and warnings of a reading. */
void cli_report_findings(const earshot_findings *findings);
cli_exit cli_exit_of(earshot_status status);

/* A name that the plan does not have: says so with the nearest that it has. `what` is "device", "storey" ... */
typedef const char *cli_name_at(const earshot_plan *plan, size_t i);
cli_exit cli_no_such_name(const char *what, const char *name, const earshot_plan *plan, cli_name_at *name_at, size_t n);
/* The nearest of n names, or NULL where none is near. */
const char *cli_nearest(const char *word, const char *const *name, size_t n);

/* ---- files.c ---- */

/* Take over results for stdout; written by cli_finish. Clears the text. */
cli_exit cli_print(earshot_text *text);
/* A file that was read: no result may be written over it. */
void cli_keep(const char *path);
/* Write a whole file or nothing; "-" is stdout. Clears the text. Failure has been reported: also that the file is one
 * that was read, or written just before. */
cli_exit cli_write(const char *path, earshot_text *text);
/* Flush and close stdout, once, at the very end. */
cli_exit cli_finish(cli_exit so_far);

/* ---- terminal.c ---- */

/* Make sure that 0, 1 and 2 are open, so that no file of ours becomes one of them. */
void cli_guard_streams(void);
/* How text on stdout is to look. */
earshot_look cli_look(void);
/* How text on stderr is to look. */
earshot_look cli_look_stderr(void);

/* Progress on a terminal's stderr, for work that takes longer than half a second. */
typedef struct cli_progress {
    const char *what;
    bool shown;
    double started_s;
    int last_percent;
    earshot_watch watch;
} cli_progress;

void cli_progress_start(cli_progress *progress, const char *what);
void cli_progress_end(cli_progress *progress);

#endif
