//! Tests of the house as a whole: layers, sizes, whole fields as text, figures of outside libraries.
