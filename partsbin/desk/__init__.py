"""The desk's flows, called by the screens and by the commands alike: read the depot, ask the pure rooms, post."""
