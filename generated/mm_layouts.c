/* SPDX-License-Identifier: MIT */
/* The layouts built together, by id. Made by matrixmap 0.1.0. */
#include "mm_layouts.h"

static const char mm_quillon8_de_DE_positional_id[] MM_TABLE = "quillon8-de-DE-positional";
static const char mm_quillon8_de_DE_positional_title[] MM_TABLE = "Quillon 8, German (Germany), positional";
static const char mm_quillon8_de_DE_symbolic_id[] MM_TABLE = "quillon8-de-DE-symbolic";
static const char mm_quillon8_de_DE_symbolic_title[] MM_TABLE = "Quillon 8, German (Germany), symbolic";
static const char mm_quillon8_en_GB_symbolic_id[] MM_TABLE = "quillon8-en-GB-symbolic";
static const char mm_quillon8_en_GB_symbolic_title[] MM_TABLE = "Quillon 8, English (United Kingdom), symbolic";
static const char mm_quillon8_en_US_positional_id[] MM_TABLE = "quillon8-en-US-positional";
static const char mm_quillon8_en_US_positional_title[] MM_TABLE = "Quillon 8, English (United States), positional";
static const char mm_quillon8_en_US_symbolic_id[] MM_TABLE = "quillon8-en-US-symbolic";
static const char mm_quillon8_en_US_symbolic_title[] MM_TABLE = "Quillon 8, English (United States), symbolic";
static const char mm_quillon8_fr_FR_symbolic_id[] MM_TABLE = "quillon8-fr-FR-symbolic";
static const char mm_quillon8_fr_FR_symbolic_title[] MM_TABLE = "Quillon 8, French (France), symbolic";

const mm_layout mm_layouts[MM_LAYOUTS] MM_TABLE = {
    {mm_quillon8_de_DE_positional_id, mm_quillon8_de_DE_positional_title, mm_quillon8_de_DE_positional, MM_QUILLON8_DE_DE_POSITIONAL_SIZE}, /* Quillon 8, German (Germany), positional */
    {mm_quillon8_de_DE_symbolic_id, mm_quillon8_de_DE_symbolic_title, mm_quillon8_de_DE_symbolic, MM_QUILLON8_DE_DE_SYMBOLIC_SIZE}, /* Quillon 8, German (Germany), symbolic */
    {mm_quillon8_en_GB_symbolic_id, mm_quillon8_en_GB_symbolic_title, mm_quillon8_en_GB_symbolic, MM_QUILLON8_EN_GB_SYMBOLIC_SIZE}, /* Quillon 8, English (United Kingdom), symbolic */
    {mm_quillon8_en_US_positional_id, mm_quillon8_en_US_positional_title, mm_quillon8_en_US_positional, MM_QUILLON8_EN_US_POSITIONAL_SIZE}, /* Quillon 8, English (United States), positional */
    {mm_quillon8_en_US_symbolic_id, mm_quillon8_en_US_symbolic_title, mm_quillon8_en_US_symbolic, MM_QUILLON8_EN_US_SYMBOLIC_SIZE}, /* Quillon 8, English (United States), symbolic */
    {mm_quillon8_fr_FR_symbolic_id, mm_quillon8_fr_FR_symbolic_title, mm_quillon8_fr_FR_symbolic, MM_QUILLON8_FR_FR_SYMBOLIC_SIZE}, /* Quillon 8, French (France), symbolic */
};
