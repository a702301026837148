/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A document as a list of blocks. Sections add to it; html.c and pages.c write it out. */
#ifndef ES_DOCUMENT_H
#define ES_DOCUMENT_H

#include "base/arena.h"
#include "present/drawing/sheet.h"
#include "present/language/say.h"

typedef enum es_block_kind {
    ES_BLOCK_HEADING,
    ES_BLOCK_LEAD, /* a paragraph that matters most */
    ES_BLOCK_PARAGRAPH,
    ES_BLOCK_ITEM, /* of a list */
    ES_BLOCK_TABLE,
    ES_BLOCK_PICTURE,
    ES_BLOCK_PAGE /* what follows starts on a new page */
} es_block_kind;

typedef struct es_block {
    es_block_kind kind;
    unsigned level;      /* of a heading: 1 is the title */
    const char *words;   /* of a table or picture: its caption */
    const char *instead; /* of a picture: what a person who does not see it is told */
    es_picture picture;
    const char **cell; /* of a table: rows of `columns`, the first row is the heading */
    size_t n_cells, cell_capacity, columns;
    unsigned right; /* bit set: columns of figures, aligned to the right */
    bool small;     /* a table of many columns, for the engineer */
    bool facts;     /* a table of pairs without a heading row */
} es_block;

/* Something to be cleared with the document. */
typedef struct es_owned {
    void *thing;
    void (*clear)(void *thing);
} es_owned;

typedef struct es_document {
    es_arena *arena; /* owns texts and what pictures are drawn of */
    es_block *block;
    size_t n, capacity;
    earshot_language language;
    earshot_paper paper;
    const char *title;
    earshot_status status; /* of the first failure; EARSHOT_OK so far */
    earshot_text scratch;
    es_owned *owned;
    size_t n_owned, owned_capacity;
} es_document;

/* false when memory is out. */
bool es_document_open(es_document *document, earshot_language language, earshot_paper paper);
void es_document_close(es_document *document);

/* A block of words, which are copied. */
void es_document_words(es_document *document, es_block_kind kind, unsigned level, const char *words);
/* A block of a message with its values. */
void es_document_values(es_document *document, es_block_kind kind, unsigned level, es_message message,
                        const char *const *value, size_t n);
#define ES_PUT(document, kind, level, message, ...)                                                                    \
    es_document_values(document, kind, level, message, (const char *const[]){__VA_ARGS__},                             \
                       sizeof((const char *const[]){__VA_ARGS__}) / sizeof(const char *))
/* Take the words gathered in document->scratch as a block, and empty it. */
void es_document_scratch(es_document *document, es_block_kind kind, unsigned level);
void es_document_page(es_document *document);

/* A table; its cells follow row by row, the heading's first. NULL when it failed: the calls below take NULL. */
es_block *es_document_table(es_document *document, size_t columns, const char *caption);
void es_document_cell(es_document *document, const char *words);
/* The words gathered in document->scratch as a cell, and empty it. */
void es_document_cell_scratch(es_document *document);
void es_document_cell_figure(es_document *document, double value, int decimals);

/* A picture; its subject must live as long as the document (es_document_take). */
void es_document_picture(es_document *document, es_picture picture, const char *caption, const char *instead);
/* Let the document clear something when it is closed. */
void es_document_own(es_document *document, void *thing, void (*clear)(void *thing));
/* Memory that lives as long as the document; NULL when it failed. */
void *es_document_take(es_document *document, size_t size);
const char *es_document_copy(es_document *document, const char *words);

/* Write it out. */
earshot_status es_document_html(const es_document *document, const earshot_watch *watch, earshot_text *out);
earshot_status es_document_pdf(const es_document *document, const earshot_watch *watch, earshot_text *out);

#endif
