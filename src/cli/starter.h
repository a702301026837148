/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CLI_STARTER_H
#define CLI_STARTER_H

/* The text of the starter plan, in parts. */
enum { CLI_STARTER_PARTS = 4 };
extern const char *const CLI_STARTER[CLI_STARTER_PARTS];

#endif
