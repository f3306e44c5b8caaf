//! From a site's parameters to surfaces, volumes and findings.
