/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What reading a plan keeps in hand, from the first byte to the last check. */
#ifndef ES_READER_H
#define ES_READER_H

#include "base/arena.h"
#include "plan/findings.h"
#include "plan/lexer.h"
#include "plan/names.h"
#include "plan/statements.h"

/* An array that grows while the plan is read; moved to the arena at the end. */
typedef struct es_list {
    void *items; /* malloc'ed */
    size_t n, capacity;
} es_list;

enum { ES_MAX_STATEMENTS = 32 };

struct es_reader {
    earshot_plan *plan;
    es_arena *arena;
    es_sources sources;
    es_report report;
    es_list list[ES_LISTS];
    es_names names;
    es_tokens tokens;     /* of the line in hand */
    earshot_point *point; /* of the statement in hand, malloc'ed */
    size_t n_points, n_point_room;
    size_t n_pieces;                       /* straight pieces of all walls so far */
    earshot_place once[ES_MAX_STATEMENTS]; /* by statement; line 0: not yet */
    unsigned file, line;                   /* of the line in hand */
    long storey;                           /* the latest of this file, or -1 */
    bool storey_missed;                    /* said already that this file has none */
    size_t n_statements;                   /* of this file so far */
    unsigned first_line;                   /* of the first of them */
    bool version_seen;                     /* this file has a `plan` statement */
    bool give_up;                          /* nothing more can be read */
    bool lost_files;                       /* a used file could not be read */
    bool memory_out;
    unsigned broken; /* bit of each list of which a statement could not be read */
    unsigned full;   /* bit of each list that reached its limit */
};

enum { ES_FILE_PLAN, ES_FILE_BUILTIN };

/* The place of a field of the line in hand, of a stretch of n bytes within its value, and of the line's end. */
earshot_place es_token_place(const es_reader *reader, const es_token *token);
earshot_place es_value_place(const es_reader *reader, const es_token *token, const char *from, size_t n);
earshot_place es_end_place(const es_reader *reader);

/* A mistake of grammar at a place, counted; returns where to hint. */
#define es_syntax(reader, place, ...) es_mistake(&(reader)->report, EARSHOT_PLAN_SYNTAX, (place), __VA_ARGS__)
/* The statement says what cannot be. */
#define es_invalid(reader, place, ...) es_mistake(&(reader)->report, EARSHOT_PLAN_INVALID, (place), __VA_ARGS__)

/* Copy text to the arena; NULL, with memory_out set, when there is none. */
const char *es_keep(es_reader *reader, const char *text, size_t n);

/* A plan in which nothing is stated. */
earshot_plan es_fresh_plan(void);

/* Read all lines of one source, then of what it uses. */
void es_read_source(es_reader *reader, unsigned file);
/* Load the file that a use statement names, unless it was read before, and read it. */
void es_read_use(es_reader *reader, const earshot_use *use);

/* Add an item to its list; false when memory is out or the limit is reached (which is then reported). */
bool es_list_add(es_reader *reader, es_list_id list, const void *item);
void *es_list_item(const es_reader *reader, es_list_id list, size_t i);
/* Give a name to the item about to be added; false, reported, if it is taken. */
bool es_declare(es_reader *reader, const es_statement *statement, const void *item, bool broken);
/* The line in hand could not be understood: take its second word for a name of anything, so that what refers to it is
 * not called unknown. */
void es_declare_lost(es_reader *reader);

#endif
