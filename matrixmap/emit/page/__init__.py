"""The page for trying layouts."""
