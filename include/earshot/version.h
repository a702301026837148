/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file
 *  Version of the library.
 */
#ifndef EARSHOT_VERSION_H
#define EARSHOT_VERSION_H

#define EARSHOT_VERSION "0.1.0"

#ifdef __cplusplus
extern "C" {
#endif
/** @return the version of the library that is linked, as "major.minor.patch". Any thread. */
const char *earshot_version(void);
#ifdef __cplusplus
}
#endif
#endif
