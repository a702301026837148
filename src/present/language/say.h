/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a client reads, in his language. All of it stands in messages.def. */
#ifndef ES_SAY_H
#define ES_SAY_H

#include "earshot/picture.h"

typedef enum es_message {
#define MESSAGE(name, english, german) ES_SAY_##name,
#include "present/language/messages.def"
#undef MESSAGE
    ES_MESSAGES
} es_message;

/* A message as it stands. */
const char *es_message_text(earshot_language language, es_message message);
/* Append a message; {1} to {9} in it become the values. */
void es_say_values(earshot_text *text, earshot_language language, es_message message, const char *const *value,
                   size_t n);
#define ES_SAY(text, language, message, ...)                                                                           \
    es_say_values(text, language, message, (const char *const[]){__VA_ARGS__},                                         \
                  sizeof((const char *const[]){__VA_ARGS__}) / sizeof(const char *))

/* A figure as a person writes it in a language (decimal comma in German), a true minus sign, no "-0". Buffer of at
 * least ES_SAY_FIGURE. */
enum { ES_SAY_FIGURE = 48 };
const char *es_say_figure(char *buffer, earshot_language language, double value, int decimals);
/* A length rounded as a person would: "0.4 m", "3.5 m", "12 m". */
const char *es_say_length(char *buffer, earshot_language language, double length_m);

/* What a device is: "movement detector". */
const char *es_say_kind(earshot_language language, earshot_kind kind);
const char *es_say_verdict(earshot_language language, earshot_verdict verdict);
/* A material: the label of the plan, or for a built-in one its name in the language. */
const char *es_say_material(earshot_language language, const earshot_material *material);

#endif
