/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The plan language as tables: which statements there are, which fields each has, and where each field lives in the
 * structs of plan.h. Reading, writing and comparing all follow these tables. */
#ifndef ES_STATEMENTS_H
#define ES_STATEMENTS_H

#include "base/units.h"
#include "earshot/plan.h"
#include "plan/names.h"

/* The arrays of a plan. */
typedef enum es_list_id {
    ES_LIST_ELECTRICAL,
    ES_LIST_MATERIAL,
    ES_LIST_RADIO,
    ES_LIST_CAPACITY,
    ES_LIST_STOREY,
    ES_LIST_WALL,
    ES_LIST_OPENING,
    ES_LIST_SLAB,
    ES_LIST_HOLE,
    ES_LIST_BLOCK,
    ES_LIST_RECEIVER,
    ES_LIST_MOUNT,
    ES_LIST_DEVICE,
    ES_LIST_SCENE,
    ES_LIST_USE,
    ES_LIST_AVOID,
    ES_LISTS,
    ES_LIST_NONE = ES_LISTS /* the statement is about the plan itself */
} es_list_id;

typedef struct es_list_info {
    size_t size;               /* of one item; every item begins with its earshot_place */
    size_t items_at, count_at; /* where the array and its length stand in earshot_plan */
    size_t limit;              /* how many there may be */
    const char *plural;
} es_list_info;

extern const es_list_info es_lists[ES_LISTS];

typedef enum es_field_type {
    ES_FIELD_NAME,      /* the thing's own name, a bare word      const char * */
    ES_FIELD_REFERENCE, /* the name of something of `space`       const char * */
    ES_FIELD_GROUND,    /* the same, or the word none for NULL    const char * */
    ES_FIELD_TEXT,      /* any text                               const char * */
    ES_FIELD_LABEL,     /* the same; also as a quoted text alone  const char * */
    ES_FIELD_QUANTITY,  /* a number with a unit                   double */
    ES_FIELD_COUNT,     /* a whole number                         unsigned */
    ES_FIELD_FLAG,      /* yes or no                              bool */
    ES_FIELD_CHOICE,    /* one of some words                      an enum */
    ES_FIELD_POINT,     /* x,y                                    earshot_point */
    ES_FIELD_POINTS,    /* several of them                        const earshot_point *, size_t */
    ES_FIELD_LAYERS,    /* class:thickness,...                    const earshot_layer *, size_t */
    ES_FIELD_LOSSES,    /* frequency:loss,...                     const earshot_loss_entry *, size_t */
    ES_FIELD_SWAPS      /* from:to,...                            const earshot_swap *, size_t */
} es_field_type;

typedef struct es_choice {
    const char *word; /* NULL: end of the list */
    unsigned value;
} es_choice;

typedef struct es_field {
    const char *key; /* of a positional field: what messages call it */
    es_field_type type;
    bool positional, required;
    size_t at, count_at;    /* offsets in the item */
    es_space space;         /* of a reference */
    es_dimension dimension; /* of a quantity */
    double low, high;       /* allowed range of a quantity or count, ends included */
    size_t least;           /* points at least */
    bool closed;            /* points: a polygon; the first may be repeated at the end */
    const es_choice *choice;
} es_field;

typedef struct es_reader es_reader;

typedef struct es_statement {
    const char *keyword;
    const char *form; /* how to write it, for messages */
    es_list_id list;
    const es_field *field;
    size_t n_fields;
    const void *fresh;               /* item in which nothing is stated; NULL for statements about the plan itself */
    es_space space;                  /* where its name goes */
    bool in_storey;                  /* belongs to a storey */
    size_t storey_at;                /* offset of the storey's index */
    bool once;                       /* at most once, and only in the plan's own file */
    void (*read)(es_reader *reader); /* reads the line instead of the table; NULL: the table does */
} es_statement;

/* By keyword; NULL if there is none. */
const es_statement *es_statement_find(const char *keyword, size_t n);
/* All of them, in the order in which a plan is written. */
extern const es_statement es_statements[];
extern const size_t es_n_statements;
/* The statement that an item of a list was made by. */
const es_statement *es_statement_of(es_list_id list, const void *item);
/* The field of a key, or NULL. */
const es_field *es_field_find(const es_statement *statement, const char *key, size_t n);

/* Words of the kinds, ended by NULL. */
extern const es_choice es_kind_words[];

/* Typed access to a member at an offset. */
static inline const void *es_member(const void *item, size_t at)
{
    return (const char *)item + at;
}

#endif
