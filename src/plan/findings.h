/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Mistakes and warnings with their place, the line they stand in and a caret. */
#ifndef ES_FINDINGS_H
#define ES_FINDINGS_H

#include "earshot/plan.h"

/* A text that is being read. */
typedef struct es_source {
    const char *name; /* for messages; also what `use` is relative to */
    const char *text;
    size_t size;
    char *owned;    /* malloc'ed text, or NULL when it belongs to somebody else */
    size_t user;    /* source that uses this one; itself when none does */
    unsigned depth; /* uses above it */
    bool on_disk;   /* then device and inode tell which file it is */
    unsigned long long device, inode;
} es_source;

typedef struct es_sources {
    es_source *item; /* malloc'ed */
    size_t n, capacity;
} es_sources;

typedef struct es_report {
    earshot_findings *findings;
    const es_sources *sources;
    unsigned mistake_file[EARSHOT_MAX_FINDINGS], warning_file[EARSHOT_MAX_FINDINGS];
} es_report;

/* Empties the findings. */
void es_report_start(es_report *report, earshot_findings *findings, const es_sources *sources);
/* Add one. place.line 0: no place in a text. Returns where a hint can be added, NULL when it was only counted. */
earshot_error *es_mistake(es_report *report, earshot_status status, earshot_place place, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
earshot_error *es_warning(es_report *report, earshot_place place, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* Say what would be right. error may be NULL. */
void es_hint(earshot_error *error, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* No more mistakes are kept: checking further is of no use. */
bool es_report_full(const es_report *report);
/* More warnings are known than are kept: looking for others is of no use. */
bool es_report_warned(const es_report *report);
/* Put what is kept in the order of the text. */
void es_report_sort(es_report *report);

/* A line of a source, found again; false if there is no such line. */
bool es_source_line(const es_source *source, unsigned line, const char **text, size_t *n);

enum { ES_SHOWN = 64 };
/* What was read, short and fit for a terminal, for a message. Returns buffer. */
const char *es_show(char buffer[ES_SHOWN], const char *text, size_t n);

#endif
